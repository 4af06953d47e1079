import { type MeasuredPart, mergedParts, parseMeasured } from '../builds/measured-parts.ts';
import { KIND_NAMES } from '../circuits/part-values.ts';
import { quotedPath } from '../input/shown-text.ts';
import { PieceError } from '../parts/piece.ts';
import { distanceText, distanceTitle, type PiecePair, piecePairs } from '../parts/piece-distance.ts';
import { CliError } from './cli-error.ts';
import { type Options, readText } from './options.ts';
import { printJson, printTable } from './output.ts';

/** Which two of the measured parts are nearest, and which two most unlike, for each kind of which there are two. */
export function pairsCommand(options: Options): void {
  const parts = (options.piece ?? []).reduce<readonly MeasuredPart[]>((all, path) => {
    const { parts: both, problems } = mergedParts(all, partsOf(path));
    tell(path, problems);
    return both;
  }, []);
  const kinds = [...new Set(parts.map(({ kind }) => kind))];
  const found = kinds.flatMap((kind) => {
    const pairs = piecePairs(parts.filter((part) => part.kind === kind));
    return pairs.length === 0 ? [] : [{ kind, pairs }];
  });
  if (found.length === 0)
    throw new CliError('There are no two parts of one kind. Give --piece for each file of your parts.');
  if (options.json) printJson(found.map(dataOf));
  else for (const each of found) printPairs(each);
}

type KindPairs = { readonly kind: MeasuredPart['kind']; readonly pairs: readonly PiecePair[] };

function dataOf({ kind, pairs }: KindPairs) {
  const all = pairs.map(({ one, other, distance }) => ({ one: one.name, other: other.name, distance }));
  return { kind, distance: distanceTitle(kind), nearest: all[0], mostUnlike: all.at(-1), pairs: all };
}

function printPairs({ kind, pairs }: KindPairs): void {
  process.stdout.write(`${KIND_NAMES[kind]}: ${distanceTitle(kind)}\n`);
  const row = (title: string, { one, other, distance }: PiecePair) => [
    title,
    one.name,
    other.name,
    distanceText(kind, distance),
  ];
  printTable([row('nearest', pairs[0]!), row('most unlike', pairs.at(-1)!)]);
}

function tell(path: string, problems: readonly string[]): void {
  for (const problem of problems) process.stderr.write(`--piece ${quotedPath(path)}: ${problem}\n`);
}

function partsOf(path: string): readonly MeasuredPart[] {
  try {
    const { parts, problems } = parseMeasured(readText(path));
    tell(path, problems);
    return parts;
  } catch (error) {
    if (error instanceof PieceError) throw new CliError(`--piece ${quotedPath(path)}: ${error.message}`);
    throw error;
  }
}
