import { isSameCircuit } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { type FigureUnit, figureUnit } from '../circuits/part-figure.ts';
import { actionText, footprintChange } from '../parts/footprint-change.ts';
import { quantityText } from '../units/quantity-text.ts';
import { refText } from './alias.ts';
import { type Build, buildParts } from './build.ts';
import { figureCondition, figuresOf, figureValue, withPart } from './part-figures.ts';
import { isSameSetting, settingText } from './part-setting.ts';
import { partsSetName } from './parts-set.ts';
import { piecesIn, withPieces } from './pieces.ts';

/** One difference between two builds of a circuit. */
export interface Swap {
  /** Reference designator; a knob or switch has that of its part. */
  readonly ref: string;
  readonly what: 'part' | 'knob' | 'switch' | 'bypass' | 'set';
  /** Name of the knob or switch, empty for a part. */
  readonly name: string;
  readonly before: string;
  readonly after: string;
  /** A figure with and without this swap alone; undefined if no formula gives one, or if it was not asked for. */
  readonly moved?: MovedFigure;
}

/** A figure that a swap changes, in the figure's unit. */
export interface MovedFigure {
  readonly name: string;
  readonly unit: FigureUnit;
  readonly before: number;
  readonly after: number;
  /** Condition of both numbers: " at 27 °C"; empty for a figure that does not depend on temperature. */
  readonly condition: string;
}

/** The differences of `after` from `before`, in the order of the circuit; empty for builds of two circuits: see `circuitSwaps`. */
export function swapsBetween(before: Build, after: Build): readonly Swap[] {
  if (!isSameCircuit(before.circuit, after.circuit)) return [];
  const circuit = before.circuit;
  const fitted = new Set(
    [before, after].flatMap((build) => buildParts(fittedCircuit(build)).map(({ ref }) => ref)),
  );
  const parts = buildParts(circuit).flatMap(({ ref }): Swap[] => {
    if (!fitted.has(ref)) return [];
    const [from, to] = [before.parts[ref] ?? {}, after.parts[ref] ?? {}];
    if (isSameSetting(from, to)) return [];
    return [{ ref, what: 'part', name: '', before: settingText(from), after: settingText(to) }];
  });
  const knobs = circuit.knobs.map(({ ref, name }): Swap => {
    return {
      ref,
      what: 'knob',
      name,
      before: clockText(before.knobs[name] ?? 0),
      after: clockText(after.knobs[name] ?? 0),
    };
  });
  const switches = circuit.switches.map(({ ref, name }): Swap => {
    return {
      ref,
      what: 'switch',
      name,
      before: before.switches[name] ?? '',
      after: after.switches[name] ?? '',
    };
  });
  const bypass: Swap = {
    ref: '',
    what: 'bypass',
    name: 'bypass',
    before: before.bypass,
    after: after.bypass,
  };
  const set: Swap = {
    ref: '',
    what: 'set',
    name: 'parts set',
    before: setText(before),
    after: setText(after),
  };
  const controls = [...knobs, ...switches, bypass, set].filter((swap) => swap.before !== swap.after);
  return [...parts, ...controls];
}

function setText({ partsSet }: Build): string {
  return partsSet ? partsSetName(partsSet) : 'as printed';
}

/** That two builds are of different circuits, in a sentence; undefined for builds of one circuit. */
export function unlikeText(a: Build, b: Build): string | undefined {
  const [one, other] = [a.circuit, b.circuit];
  if (isSameCircuit(one, other)) return undefined;
  if (one.id === other.id && one.revision !== other.revision)
    return `Two revisions of ${one.title}: ${one.revision} and ${other.revision}.`;
  if (one.title === other.title) return `Two versions of ${one.title}.`;
  return `Two circuits: ${one.title} and ${other.title}.`;
}

/** What each swapped type asks of the builder’s hands: "Q1: Same footprint, legs E B C." */
export function pinLines(before: Build, after: Build): readonly string[] {
  return swapsBetween(before, after).flatMap(({ ref, what }) => {
    const [from, to] = [before, after].map((build) => build.parts[ref]);
    if (what !== 'part' || from?.type === undefined || to?.type === undefined) return [];
    if (from.type === to.type || to.fit !== undefined) return [];
    return [`${refText(before, ref)}: ${actionText(footprintChange(from.type, to.type))}`];
  });
}

/** The differences, each with the figure that it changes by itself. @param temperatureK Temperature of the figures. */
export function swapsWithFigures(before: Build, after: Build, temperatureK: number): readonly Swap[] {
  return swapsBetween(before, after).map((swap) => {
    const moved = figureOfSwap([before, after], swap, temperatureK);
    return moved ? { ...swap, moved } : swap;
  });
}

/** The figure that a difference of two builds changes by itself. @param temperatureK Temperature of the figure. */
export function figureOfSwap(
  [before, after]: readonly [Build, Build],
  swap: Swap,
  temperatureK: number,
): MovedFigure | undefined {
  if (swap.what !== 'part') return undefined;
  return movedFigure(before, withSwap(before, after, swap), swap.ref, temperatureK);
}

/** The first figure of a part that changes with this swap alone. */
function movedFigure(
  build: Build,
  swapped: Build,
  ref: string,
  temperatureK: number,
): MovedFigure | undefined {
  for (const figure of figuresOf(build, ref)) {
    const before = figureValue(build, figure, temperatureK);
    const after = figureValue(swapped, figure, temperatureK);
    const unit = figureUnit(figure);
    if (quantityText(before, unit) === quantityText(after, unit)) continue;
    const condition = figureCondition(figure, temperatureK);
    return { name: figure.name, unit, before, after, condition };
  }
  return undefined;
}

/** A build with one difference taken over from another build. */
export function withSwap(build: Build, other: Build, { what, ref, name }: Swap): Build {
  switch (what) {
    case 'part':
      return withPieces(withPart(build, ref, other.parts[ref] ?? {}), piecesIn(other.parts[ref] ?? {}));
    case 'knob':
      return { ...build, knobs: { ...build.knobs, [name]: other.knobs[name] ?? 0 } };
    case 'switch':
      return { ...build, switches: { ...build.switches, [name]: other.switches[name] ?? '' } };
    case 'bypass':
      return { ...build, bypass: other.bypass };
    case 'set':
      return withSetOf(build, other);
  }
}

function withSetOf({ partsSet: _, ...build }: Build, { partsSet }: Build): Build {
  return { ...build, ...(partsSet && { partsSet }) };
}

/** One swap on a line: "C3 47n to 100n: bass corner of the gain stage 720 Hz to 339 Hz". */
export function swapText(build: Build, { ref, name, before, after, moved }: Swap): string {
  const subject = [ref === '' ? '' : refText(build, ref), name].filter((word) => word !== '').join(' ');
  return `${subject} ${before} to ${after}${moved ? `: ${movedText(moved)}` : ''}`;
}

/** A changed figure in words and numbers. */
export function movedText({ name, unit, before, after, condition }: MovedFigure): string {
  return `${name} ${quantityText(before, unit)} to ${quantityText(after, unit)}${condition}`;
}

/** Rotation as a clock position: 7:00 at 0, 5:00 at 1, over 300 degrees. */
export function clockText(rotation: number): string {
  const minutes = Math.round((7 * 60 + rotation * 600) / 5) * 5;
  const hour = Math.floor(minutes / 60) % 12 || 12;
  return `${hour}:${String(minutes % 60).padStart(2, '0')}`;
}
