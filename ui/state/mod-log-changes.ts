import type { Build } from '../../engine/builds/build.ts';
import type { ChainPedal } from '../../engine/builds/chain.ts';
import { refsText } from '../../engine/builds/part-groups.ts';
import { type Swap, swapsBetween, swapText } from '../../engine/builds/swaps.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';
import { sidesBefore, VERDICT_WORDS, withCandidateAt } from './candidate-run.ts';
import { arePedalsSame, pedalsOf, type Sides, sideTitle } from './chains.ts';

/** Swaps that one entry tells; the rest is counted. */
const TOLD = 8;

/** Words of the entries that tell where the build of a side comes from. */
export const SIDES_SWAPPED = 'sides swapped';
export const LOADED = 'loaded “';
export const AS_IT_WAS = 'before the next change';

/** What became of one side. */
export interface SideChange {
  /** In words; empty if nothing that is heard or named differs. */
  readonly did: string;
  /** The parts and controls that were changed; empty for anything but swaps. */
  readonly subject: string;
}

/** An event that is no swap, with the sides as they were then. */
export interface LogEvent {
  readonly slot: Slot;
  readonly did: string;
  readonly sides: Sides;
}

/** The sides without a candidate: it is in B only as long as it is tried. */
export function lastingSides({ ear: { candidates }, builds, places }: BenchState): Sides {
  const sides = { builds, places };
  return candidates?.at === undefined ? sides : sidesBefore(sides, candidates);
}

/** What differs between two states of a side: swaps, or what is on it now. */
export function sideChange(before: Sides, after: Sides, slot: Slot): SideChange {
  const nothing = { did: '', subject: '' };
  if (arePedalsSame(before, after, slot)) return nothing;
  if (isExchange(before, after)) return { did: SIDES_SWAPPED, subject: '' };
  const [old, now] = [pedalsOf(before, slot), pedalsOf(after, slot)];
  const isOther =
    old.length !== now.length ||
    old.some(({ build }, index) => !isSameCircuit(build.circuit, now[index]!.build.circuit));
  if (isOther) return { did: `${LOADED}${sideTitle(after, slot)}”`, subject: '' };
  const changes = old.map((pedal, index) =>
    pedalChange(pedal, now[index]!, old.length > 1 ? index : undefined),
  );
  const lines = changes.flatMap(({ lines }) => lines);
  const isRenamed = changes.some((change) => change.isRenamed);
  if (lines.length === 0 && !isRenamed) return nothing;
  const told = [...lines.slice(0, TOLD), ...(lines.length > TOLD ? [`and ${lines.length - TOLD} more`] : [])];
  const name = isRenamed ? [`now “${sideTitle(after, slot)}”`] : [];
  return {
    did: [...name, ...told].join('; '),
    subject: isRenamed ? '' : changes.flatMap(({ subjects }) => subjects).join(' '),
  };
}

function isExchange(before: Sides, after: Sides): boolean {
  const { a, b } = before.builds;
  return a !== b && after.builds.a === b && after.builds.b === a;
}

/** @param index In a chain. */
function pedalChange(old: ChainPedal, now: ChainPedal, index: number | undefined) {
  const swaps = swapsBetween(old.build, now.build);
  const switched = old.isOn === now.isOn ? [] : [`switched ${now.isOn ? 'on' : 'off'}`];
  const cable =
    old.cableMetres === now.cableMetres
      ? []
      : [`cable after it ${old.cableMetres} m to ${now.cableMetres} m`];
  const lines = [...swaps.map((swap) => swapText(old.build, swap)), ...switched, ...cable];
  return {
    lines: index === undefined ? lines : lines.map((line) => `pedal ${index + 1}: ${line}`),
    subjects: [...swaps.map((swap) => `${index ?? 0} ${subjectOf(swap)}`), ...switched, ...cable],
    isRenamed: isOtherName(old.build, now.build),
  };
}

function subjectOf({ what, ref, name }: Swap): string {
  return `${what} ${ref} ${name}`;
}

function isOtherName(old: Build, now: Build): boolean {
  return old.title !== now.title;
}

/** The verdicts on candidates, and the blind tests, that came with a change. */
export function eventsOf(before: BenchState, after: BenchState): readonly LogEvent[] {
  return [...verdictsOf(before, after), ...blindTestsOf(before, after)];
}

function verdictsOf(before: BenchState, after: BenchState): readonly LogEvent[] {
  const [run, judged] = [before.ear.candidates, after.ear.candidates];
  if (run?.at === undefined || judged?.refs !== run.refs) return [];
  return judged.list.flatMap(({ text, settings, verdict }, index) => {
    const earlier = run.list[index];
    if (verdict === undefined || earlier?.settings !== settings || earlier.verdict === verdict) return [];
    const { builds, places } = withCandidateAt(before, run, index);
    const did = `${refsText(run.refs)} ${text}: ${VERDICT_WORDS[verdict]} (A: ${sideTitle(before, 'a')})`;
    return [{ slot: 'b' as const, did, sides: { builds, places } }];
  });
}

/** On both sides, since each build keeps its history. Results of earlier visits are no events. */
function blindTestsOf(before: BenchState, after: BenchState): readonly LogEvent[] {
  if (!before.ear.blindTest || before.ear.blindResults === after.ear.blindResults) return [];
  const known = new Set(before.ear.blindResults);
  return after.ear.blindResults
    .filter((result) => !known.has(result))
    .flatMap(({ title, sentences }) =>
      SLOTS.map((slot) => ({ slot, did: `blind test, ${title}: ${sentences[0] ?? ''}`, sides: before })),
    );
}
