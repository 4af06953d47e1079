import type { Build } from '../../engine/builds/build.ts';
import type { ChainPedal, ChainPlace } from '../../engine/builds/chain.ts';
import { type PartSettings, withSettings } from '../../engine/builds/part-groups.ts';
import { piecesIn, withPieces } from '../../engine/builds/pieces.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { lookingAt, type Sides } from './chains.ts';

/** What an ear says of a candidate, set against build A. */
export type EarVerdict = 'better' | 'same' | 'worse';

export const VERDICT_WORDS: Readonly<Record<EarVerdict, string>> = {
  better: 'better than A',
  same: 'same as A',
  worse: 'worse than A',
};

/** A part, type or value that is tried by ear, and what was said of it. */
export interface TriedCandidate {
  /** In a few words, such as "OA91". */
  readonly text: string;
  /** At each place. */
  readonly settings: PartSettings;
  readonly verdict: EarVerdict | undefined;
  /** A blind test of it has ended: its name is shown, though those of the others are not. */
  readonly isNamed?: true;
}

/** Candidates for one place or group, which are stepped through in build B with build A as the reference. Immutable. */
export interface CandidateRun {
  /** Places that are swapped together. */
  readonly refs: readonly string[];
  /** The pedal that they are in, of A's chain and of B's. */
  readonly pedal: number;
  /** In the order in which they play. */
  readonly list: readonly TriedCandidate[];
  /** Index of the one in build B; undefined before the first and after the end. */
  readonly at: number | undefined;
  /** Names are shown as numbers. */
  readonly isHidden: boolean;
  /** Build B before the first, and its place in its chain: they come back at the end. */
  readonly before: Build;
  readonly placeBefore: ChainPlace;
  /** Why others were left out, a sentence for each, which names it. */
  readonly refused: readonly string[];
}

interface CandidateStep extends Sides {
  readonly run: CandidateRun;
}

/**
 * What the run makes of both sides once a candidate is in B, which is otherwise as A, with the other pedals of A's chain.
 * Knobs and switches of B that were turned since the first candidate stay, and so does its bypass. The candidate's pedal is on
 * the sheet again, if another was looked at meanwhile.
 */
export function withCandidateAt(sides: Sides, run: CandidateRun, index: number): CandidateStep {
  const { settings } = run.list[index]!;
  const { builds, places } = lookingAt(sides, 'a', run.pedal);
  const { a, b } = builds;
  const isFirst = run.at === undefined;
  const fitted = withControls(withSettings(a, settings), isFirst ? a : b);
  const pieces = Object.values(settings).flatMap(piecesIn);
  const place = isFirst ? places.a : withControlsAt(places.a, places.b);
  return {
    builds: { a, b: withPieces(fitted, pieces) },
    places: places.b === place ? places : { a: places.a, b: place },
    run: { ...run, at: index },
  };
}

/** The build with the knobs, switches and bypass of another, if that has the same. */
function withControls(build: Build, { circuit, knobs, switches, bypass }: Build): Build {
  return isSameCircuit(build.circuit, circuit) ? { ...build, knobs, switches, bypass } : build;
}

/** The place of A with the controls of B's other pedals; the same object where these are A's. */
function withControlsAt(a: ChainPlace, b: ChainPlace): ChainPlace {
  const turned = (pedals: readonly ChainPedal[], others: readonly ChainPedal[]) =>
    pedals.map((pedal, index) => {
      const build = others[index]?.build;
      return build ? { ...pedal, build: withControls(pedal.build, build) } : pedal;
    });
  return a === b ? a : { ...a, before: turned(a.before, b.before), after: turned(a.after, b.after) };
}

/** Both sides with B as it was before the first candidate. */
export function sidesBefore({ builds, places }: Sides, { before, placeBefore }: CandidateRun): Sides {
  return {
    builds: builds.b === before ? builds : { ...builds, b: before },
    places: places.b === placeBefore ? places : { ...places, b: placeBefore },
  };
}

/** The index after a step; round at the ends. */
export function steppedIndex({ list, at }: CandidateRun, step: number): number {
  return at === undefined ? 0 : (at + step + list.length) % list.length;
}

/** The run with a verdict on the candidate that plays. */
export function withVerdict(run: CandidateRun, verdict: EarVerdict): CandidateRun {
  const list = run.list.map((tried, index) => (index === run.at ? { ...tried, verdict } : tried));
  return { ...run, list };
}

/** The run with the name of the candidate that plays shown. */
export function withNameShown(run: CandidateRun): CandidateRun {
  const list = run.list.map((tried, index) =>
    index === run.at ? { ...tried, isNamed: true as const } : tried,
  );
  return { ...run, list };
}

/** The next candidate without a verdict; the one that plays if there is none. */
export function nextUnjudged({ list, at = 0 }: CandidateRun): number {
  const ahead = [...list.keys()].map((step) => (at + 1 + step) % list.length);
  return ahead.find((index) => list[index]!.verdict === undefined) ?? at;
}

/** Whether candidates play whose names are not to be known yet. */
export function isHiding({ candidates }: { readonly candidates: CandidateRun | undefined }): boolean {
  return candidates?.at !== undefined && candidates.isHidden;
}
