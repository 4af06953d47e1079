import { readFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { equivalenceOf, unusedEquivalents } from './equivalent-signs.ts';
import { MUTATED_SOURCES, quickTestsFor, SHORT_SOURCES, testsFor } from './mutated-sources.ts';
import { type SignMutation, signMutations } from './sign-mutations.ts';
import { TreeCopy, type Verdict } from './tree-copy.ts';

/** Number of places in the short set. */
const SHORT_COUNT = 12;
const ROOT = new URL('../../', import.meta.url);

/**
 * A run with a flipped sign is ended after this many times what the tests took before; the machine may be busier by
 * then. An endless loop never ends by itself.
 */
const PATIENCE = 5;
const STARTING_S = 30;
const FIRST_TESTS = 3;

const USAGE = `npm run mutations -- [--only FILE]... [--from N] [--to N] [--count N] [--seed S] [--list]

Flips one sign at a time in a copy of the tree and runs the tests that are to catch it, the quickest first.

  --only FILE   the sources whose path ends so; may be said more than once
  --count N     so many places, drawn at random
  --seed S      of the draw, 1 if not said
  --from N      go on at the place with this number, 1 if not said
  --to N        end with the place with this number
  --list        the places alone, nothing is run
  --short       a dozen places and quick tests: a minute`;

/** Signals that end the run early, with their numbers for the exit code. */
const SIGNALS = { SIGHUP: 1, SIGINT: 2, SIGTERM: 15 } as const;

interface Place {
  readonly file: string;
  readonly source: string;
  readonly mutation: SignMutation;
}

interface NumberedPlace extends Place {
  /** In the list of all places, from 1. */
  readonly number: number;
}

/** @returns The exit code: 1 if a flipped sign is not found by any test and is not known to be equivalent. */
export async function runMutations(args: readonly string[]): Promise<number> {
  const options = {
    only: { type: 'string', multiple: true },
    count: { type: 'string' },
    seed: { type: 'string', default: '1' },
    from: { type: 'string', default: '1' },
    to: { type: 'string' },
    list: { type: 'boolean', default: false },
    short: { type: 'boolean', default: false },
    help: { type: 'boolean', default: false },
  } as const;
  const { values } = parseArgs({ args: [...args], options });
  if (values.help) return say(USAGE, 0);
  const sources = values.short ? SHORT_SOURCES : MUTATED_SOURCES;
  const files = sources.filter((file) => values.only?.some((end) => file.endsWith(end)) ?? true);
  if (files.length === 0) return say(`no source of the list ends in ${values.only?.join(' or ')}`, 2);
  const all = files.flatMap(placesOf);
  const count = Number(values.count ?? (values.short ? SHORT_COUNT : all.length));
  const seed = Number(values.seed);
  if (!(Number.isInteger(count) && count > 0))
    return say(`--count ${values.count} is no number of places`, 2);
  if (!Number.isInteger(seed)) return say(`--seed ${values.seed} is no whole number`, 2);
  const places = drawn(all, count, seed).map((place, index) => ({ ...place, number: index + 1 }));
  const [from, to] = [Number(values.from), Number(values.to ?? places.length)];
  if (!(Number.isInteger(from) && Number.isInteger(to) && from >= 1 && from <= to && to <= places.length))
    return say(`--from ${values.from} --to ${values.to ?? to} is no range of the ${places.length} places`, 2);
  const range = places.slice(from - 1, to);
  if (values.list) return say(range.map((place) => `${place.number} ${lineOf(place)}`).join('\n'), 0);
  for (const key of unusedEquivalents(all)) console.log(`stands for no place any more: ${key}`);
  return tryAll(range, values.short ? quickTestsFor : testsFor);
}

async function tryAll(places: readonly NumberedPlace[], testsOf: typeof testsFor): Promise<number> {
  const copy = new TreeCopy(ROOT);
  for (const [signal, number] of Object.entries(SIGNALS)) {
    process.once(signal, () => {
      copy.remove();
      process.exit(128 + number);
    });
  }
  let survivors = 0;
  try {
    showProgress('the tests as they stand');
    const clean = await copy.run([...new Set(places.map(({ file }) => file))].flatMap(testsOf));
    if (clean.caughtBy !== undefined) return say(`fails without a flipped sign: ${clean.caughtBy}`, 2);
    const secondsOf = (test: string) => clean.secondsOf.get(test) ?? 0;
    const start = performance.now();
    for (const [index, place] of places.entries()) {
      const each = (performance.now() - start) / 60_000 / Math.max(index, 1);
      const left = index > 0 ? `, about ${Math.ceil(each * (places.length - index))} min left` : '';
      showProgress(`${index + 1} of ${places.length}, ${survivors} survived${left}`);
      const reason = equivalenceOf(place);
      const tests = [...testsOf(place.file)].sort((a, b) => secondsOf(a) - secondsOf(b));
      const verdict = reason ? undefined : await tryOut(copy, place, tests, secondsOf);
      if (verdict && verdict.caughtBy === undefined) survivors++;
      showProgress('');
      console.log(`${place.number} ${lineOf(place)}\n    ${said(verdict, reason)}`);
    }
    console.log(`in ${((performance.now() - start) / 60_000).toFixed(1)} minutes`);
  } finally {
    copy.remove();
  }
  return say(`${places.length} signs flipped, ${survivors} survived`, survivors > 0 ? 1 : 0);
}

/** Few quick tests first: they also end an endless loop soon. */
async function tryOut(
  copy: TreeCopy,
  place: Place,
  tests: readonly string[],
  secondsOf: (test: string) => number,
): Promise<Verdict> {
  const stages = [tests.slice(0, FIRST_TESTS), tests.slice(FIRST_TESTS)].filter(({ length }) => length > 0);
  let seconds = 0;
  let verdict: Verdict | undefined;
  for (const stage of stages) {
    const longestS = STARTING_S + PATIENCE * stage.reduce((sum, test) => sum + secondsOf(test), 0);
    verdict = await copy.tryOut(place, stage, longestS);
    seconds += verdict.seconds;
    if (verdict.caughtBy !== undefined) break;
  }
  return { caughtBy: verdict?.caughtBy, seconds };
}

/** The work in progress, in a line that the next one replaces; a file gets only the numbered results. */
function showProgress(text: string): void {
  if (process.stderr.isTTY) process.stderr.write(`\r\x1b[K${text}`);
}

function said(verdict: Verdict | undefined, reason: string | undefined): string {
  if (!verdict) return `equivalent: ${reason}`;
  const seconds = `${verdict.seconds.toFixed(0)} s`;
  return verdict.caughtBy === undefined
    ? `SURVIVED (${seconds})`
    : `caught by ${verdict.caughtBy} (${seconds})`;
}

function placesOf(file: string): Place[] {
  const source = readFileSync(new URL(file, ROOT), 'utf8');
  return signMutations(source).map((mutation) => ({ file, source, mutation }));
}

function lineOf({ file, mutation: { line, column, before, after, context } }: Place): string {
  return `${file}:${line}:${column} ${before} to ${after || 'nothing'}: ${context}`;
}

/** A number of them in their order, the same for the same seed (selection by Lehmer's generator). */
function drawn(places: readonly Place[], count: number, seed: number): Place[] {
  let state = 1 + Math.abs(seed) * 7919;
  let wanted = count;
  return places.filter((_, index) => {
    state = (state * 48271) % 2147483647;
    const isDrawn = state / 2147483647 < wanted / (places.length - index);
    if (isDrawn) wanted--;
    return isDrawn;
  });
}

function say(text: string, exitCode: number): number {
  console.log(text);
  return exitCode;
}
