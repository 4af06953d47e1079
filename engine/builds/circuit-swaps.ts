import type { PartSpec } from '../circuits/part-spec.ts';
import { printable } from '../input/shown-text.ts';
import { refText } from './alias.ts';
import type { Build } from './build.ts';
import { type ComparedPart, partPairs } from './part-pairs.ts';
import { settingText } from './part-setting.ts';
import { clockText, unlikeText } from './swaps.ts';

/** What stands at one side of a difference between two circuits. */
export interface SwapSide {
  /** Designator on the schematic: "U1A". */
  readonly ref: string;
  /** Where its setting stands: "U1"; empty for the bypass. */
  readonly place: string;
  readonly kind: PartSpec['kind'] | 'bypass';
  /** Of a knob or switch. */
  readonly name: string;
  /** Value, type or position. */
  readonly text: string;
}

/** Parts with the same job that are not alike, or controls on such parts. */
export interface Swapped {
  readonly what: 'part' | 'knob' | 'switch' | 'bypass';
  /** "gain resistor"; empty where two revisions have a part whose job neither says. */
  readonly job: string;
  readonly before: SwapSide;
  readonly after: SwapSide;
}

/** A part without a counterpart. */
export interface OneSided {
  /** "gain resistor"; its role, a sentence, where it has no job. */
  readonly job: string;
  readonly side: SwapSide;
}

/** The parts of one stage that only one build has. */
export interface StageSwaps {
  readonly stage: string;
  /** No part of the stage has a counterpart. */
  readonly isWhole: boolean;
  readonly swaps: readonly OneSided[];
}

/** How a build differs from one of another circuit, each list in the order of the signal. */
export interface CircuitSwaps {
  readonly swapped: readonly Swapped[];
  readonly added: readonly StageSwaps[];
  readonly leftOut: readonly StageSwaps[];
}

/** The differences of `after` from `before`. Places that are empty and have no counterpart are no difference. */
export function circuitSwaps(before: Build, after: Build): CircuitSwaps {
  const { both, onlyFirst, onlySecond } = partPairs(before, after);
  const paired = (index: 0 | 1) => new Set(both.map((pair) => pair[index].stage));
  const swapped = both.flatMap((pair) => [
    ...partSwap(before, after, pair),
    ...knobSwap(before, after, pair),
  ]);
  return {
    swapped: [...swapped, ...bypassSwap(before, after)],
    added: byStage(after, onlySecond, paired(1)),
    leftOut: byStage(before, onlyFirst, paired(0)),
  };
}

/** By place: what another build has for the same job, and whether both are alike. */
export type Counterparts = ReadonlyMap<string, { readonly text: string; readonly isAlike: boolean }>;

/** For each place of a build that has a counterpart in another circuit; amplifiers of a package may have several. */
export function counterpartTexts(build: Build, other: Build): Counterparts {
  const found = new Map<string, { text: string; isAlike: boolean }>();
  for (const pair of partPairs(build, other).both) {
    const { place } = pair[0];
    const text = sideText(sideOf(other, pair[1]));
    const before = found.get(place);
    const isAlike = partSwap(build, other, pair).length === 0 && (before?.isAlike ?? true);
    found.set(place, { text: before ? `${before.text}, ${text}` : text, isAlike });
  }
  return found;
}

type Pair = readonly [ComparedPart, ComparedPart];

function jobOf([one, other]: Pair): string {
  return one.job ?? other.job ?? '';
}

function partSwap(before: Build, after: Build, pair: Pair): readonly Swapped[] {
  const [one, other] = pair;
  const [from, to] = [sideOf(before, one), sideOf(after, other)];
  if (one.kind === other.kind && from.text === to.text) return [];
  const what = one.kind === 'switch' ? 'switch' : 'part';
  return [{ what, job: jobOf(pair), before: from, after: to }];
}

/** Where two knobs of one job stand. */
function knobSwap(before: Build, after: Build, pair: Pair): readonly Swapped[] {
  const [one, other] = pair;
  const [from, to] = [knobSide(before, one), knobSide(after, other)];
  if (!from || !to || from.text === to.text) return [];
  const job = jobOf(pair);
  return [{ what: 'knob', job: job === '' ? '' : `position of the ${job}`, before: from, after: to }];
}

function knobSide(build: Build, part: ComparedPart): SwapSide | undefined {
  const knob = build.circuit.knobs.find(({ ref }) => ref === part.ref);
  if (!knob || part.isUnfitted) return undefined;
  const { gang, name } = knob;
  // The second section of a dual-gang potentiometer stands where the first does.
  if (gang && build.switches[gang.switch] === gang.position) return undefined;
  return { ...sideOf(build, part), name, text: clockText(build.knobs[name] ?? 0) };
}

function bypassSwap(before: Build, after: Build): readonly Swapped[] {
  if (before.bypass === after.bypass) return [];
  const [from, to] = [before, after].map(
    (build): SwapSide => ({ ref: '', place: '', kind: 'bypass', name: '', text: build.bypass }),
  );
  return [{ what: 'bypass', job: 'bypass', before: from!, after: to! }];
}

function sideOf(build: Build, { ref, place, kind }: ComparedPart): SwapSide {
  const control = build.circuit.switches.find((each) => each.ref === ref);
  const alias = build.aliases?.[place];
  return {
    ref: refText(alias === undefined ? {} : { aliases: { [ref]: alias } }, ref),
    place,
    kind,
    name: control?.name ?? '',
    text: control ? (build.switches[control.name] ?? '') : settingText(build.parts[place] ?? {}),
  };
}

function byStage(
  build: Build,
  parts: readonly ComparedPart[],
  paired: ReadonlySet<string>,
): readonly StageSwaps[] {
  const fitted = parts.filter(({ isUnfitted }) => !isUnfitted);
  return [...new Set(fitted.map(({ stage }) => stage))].map((stage) => ({
    stage,
    isWhole: !paired.has(stage),
    swaps: fitted
      .filter((part) => part.stage === stage)
      .map((part) => ({ job: part.job ?? part.role, side: sideOf(build, part) })),
  }));
}

/** The differences of B from A as lines for a report: whole stages and parts under headings; empty for builds of one circuit. */
export function circuitSwapLines(a: Build, b: Build): readonly string[] {
  const unlike = unlikeText(a, b);
  if (unlike === undefined) return [];
  const { swapped, added, leftOut } = circuitSwaps(a, b);
  const under = (heading: string, lines: readonly string[]) =>
    lines.length === 0 ? [] : [heading, ...lines.map((line) => `  ${printable(line)}`)];
  return [
    printable(unlike),
    ...under('Swapped, parts with the same job:', swapped.map(swappedText)),
    ...under('Only in B:', added.map(stageSwapsText)),
    ...under('Only in A:', leftOut.map(stageSwapsText)),
  ];
}

/** "22 swapped, 19 only in B, 10 only in A". */
export function circuitSwapCounts({ swapped, added, leftOut }: CircuitSwaps): string {
  return `${swapped.length} swapped, ${countOf(added)} only in B, ${countOf(leftOut)} only in A`;
}

export function countOf(stages: readonly StageSwaps[]): number {
  return stages.reduce((sum, { swaps }) => sum + swaps.length, 0);
}

/** Stages that only one build has: "stages only in B: Summing, Converter and rails"; empty if there are none. */
export function wholeStagesText({ added, leftOut }: CircuitSwaps): string {
  const whole = (word: string, stages: readonly StageSwaps[]) => {
    const titles = stages.filter(({ isWhole }) => isWhole).map(({ stage }) => stage);
    return titles.length === 0 ? [] : [`${word}: ${titles.join(', ')}`];
  };
  return [...whole('stages only in B', added), ...whole('stages only in A', leftOut)].join('; ');
}

/** One difference on a line: "gain resistor: R4 4k7 to R4 2k2". */
export function swappedText({ job, before, after }: Swapped): string {
  return `${job === '' ? '' : `${job}: `}${sideText(before)} to ${sideText(after)}`;
}

/** "C8 100n"; the position alone for the bypass. */
export function sideText({ ref, name, text }: SwapSide): string {
  return [ref, name, text].filter((word) => word !== '').join(' ');
}

/** The parts of a stage that one build alone has, on a line: "Summing, the whole stage: R8 22k, R12 47k". */
export function stageSwapsText({ stage, isWhole, swaps }: StageSwaps): string {
  const parts = swaps.map(({ side }) => sideText(side));
  return `${stage}${isWhole ? ', the whole stage' : ''}: ${parts.join(', ')}`;
}
