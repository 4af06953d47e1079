import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { bjtEntry, isSinglePiece } from '../parts/part-types.ts';
import {
  baseEmitterSpread,
  LEAK_SPREAD,
  type SpreadQuantity,
  TAPER_SPREAD,
  type TypeSpread,
} from '../parts/type-spread.ts';
import { countedUniform, keyOf, normalAt } from '../units/counted-normal.ts';
import { refText } from './alias.ts';
import { type Build, type BuildPart, buildParts, type PartSetting } from './build.ts';
import { withValue } from './part-setting.ts';
import { settingSpread } from './part-spread.ts';
import type { PartsSet, Tolerances } from './parts-set.ts';

/**
 * How one quantity of one part differs from set to set.
 *
 * A deviate z is normal, half of its variance common to all parts of one batch (the same kind, value and type in one pedal), half
 * of the piece alone; of n diodes in series each has its own half. At z = ±2.58 the part is at the end of its range, and there
 * are none beyond: the 1 % that would be are at the end. Between the ends, gain, threshold, leak, speed and resistance of a
 * converter follow the logarithm, all others z itself; z = 0 is the printed value or the data of the type.
 *
 * That the limit of a tolerance is 2.58 standard deviations, and that half is common to a batch: common practice, no source. Of a
 * wide tolerance the middle may have been sorted out and sold as a closer one: that is not in the model.
 */
export interface Deviation {
  /** Designator in the build. */
  readonly ref: string;
  /** Whether it is the second part at this place. */
  readonly isPiggyback: boolean;
  readonly spread: TypeSpread;
  /** Standard deviation of z. */
  readonly sigma: number;
  /** Two deviations with one batch key have the common half of z. */
  readonly batchKey: number;
  readonly ownKey: number;
  readonly ownWeight: number;
  /** "R6", "VR1 taper", "Q1 leakage". */
  readonly label: string;
}

/** Share of the variance that pieces of one batch have in common. */
export const COMMON_SHARE = 0.5;
/** The end of a range in standard deviations: 99 % are within it. */
export const LIMIT_SIGMAS = 2.58;

/** What differs from set to set of a build's parts. Its supply stays as it is set; a measured piece is what it is. */
export function deviationsOf(build: Build, tolerances: Tolerances = {}): readonly Deviation[] {
  return buildParts(fittedCircuit(build)).flatMap((part) => {
    const setting = build.parts[part.ref];
    if (!setting || setting.fit !== undefined || part.kind === 'supply') return [];
    const { piggyback, count: _, ...rest } = setting;
    const first = ofPiece(build, part, setting, false, tolerances);
    if (piggyback === undefined) return first;
    const second = setting.value === undefined ? { ...rest, type: piggyback } : withValue(rest, piggyback);
    return [...first, ...ofPiece(build, part, second, true, tolerances)];
  });
}

function ofPiece(
  build: Build,
  part: BuildPart,
  setting: PartSetting,
  isPiggyback: boolean,
  tolerances: Tolerances,
): readonly Deviation[] {
  if (setting.piece !== undefined || (setting.type !== undefined && isSinglePiece(setting.type))) return [];
  const spreads = [settingSpread(part, setting, tolerances), ...furtherSpreads(part, setting)];
  return spreads.map((spread) => {
    const { quantity } = spread;
    const count = setting.count ?? 1;
    const what = [part.kind, setting.value ?? setting.type, setting.law, setting.dielectric].join(' ');
    const place = `${part.ref}${isPiggyback ? ' piggyback' : ''}`;
    const word = WORDS[quantity];
    const own = `${refText(build, part.ref)}${isPiggyback ? ' piggyback' : ''}`;
    return {
      ref: part.ref,
      isPiggyback,
      spread,
      sigma: Math.sqrt(COMMON_SHARE + (1 - COMMON_SHARE) / count),
      batchKey: keyOf(`batch ${quantity} ${what}`),
      ownKey: keyOf(`own ${quantity} ${place}`),
      ownWeight: Math.sqrt((1 - COMMON_SHARE) / count),
      label: word === undefined ? own : `${own} ${word}`,
    };
  });
}

/** What is said of a part of which more than one quantity differs. */
const WORDS: Readonly<Partial<Record<SpreadQuantity, string>>> = {
  leak: 'leakage',
  taper: 'taper',
  baseEmitterV: 'V_BE',
};

function furtherSpreads({ kind }: BuildPart, { type }: PartSetting): readonly TypeSpread[] {
  if (kind === 'pot') return [TAPER_SPREAD];
  if (kind !== 'npn' && kind !== 'pnp') return [];
  const baseEmitter = baseEmitterSpread(type!);
  return [
    ...(baseEmitter ? [baseEmitter] : []),
    ...(bjtEntry(type!).data.collectorLeak ? [LEAK_SPREAD] : []),
  ];
}

/** Designators of fitted parts with a quantity that stays as in the data of its type, since no sheet at hand bounds it. */
export interface WithoutSpread {
  /** Transistors: base-emitter voltage. */
  readonly baseEmitter: readonly string[];
  /** Op-amps: input offset voltage, which no model has. */
  readonly offset: readonly string[];
}

export function withoutSpread(build: Build): WithoutSpread {
  const fitted = buildParts(fittedCircuit(build)).flatMap(({ ref, kind }) => {
    const { type, fit, piece, piggyback } = build.parts[ref] ?? {};
    if (type === undefined || fit !== undefined) return [];
    const name = refText(build, ref);
    return [
      ...(piece === undefined && !isSinglePiece(type) ? [{ kind, type, name }] : []),
      ...(piggyback === undefined || isSinglePiece(piggyback)
        ? []
        : [{ kind, type: piggyback, name: `${name} piggyback` }]),
    ];
  });
  const isBipolar = (kind: string) => kind === 'npn' || kind === 'pnp';
  return {
    baseEmitter: fitted
      .filter(({ kind, type }) => isBipolar(kind) && !baseEmitterSpread(type))
      .map(({ name }) => name),
    offset: fitted.filter(({ kind }) => kind === 'opamp').map(({ name }) => name),
  };
}

/** The normal deviate of a deviation in one set. */
export function deviateOf(deviation: Deviation, { seed, number }: PartsSet): number {
  const { batchKey, ownKey, ownWeight } = deviation;
  const common = normalAt(countedUniform(batchKey, seed, number));
  const own = normalAt(countedUniform(ownKey, seed, number));
  return Math.sqrt(COMMON_SHARE) * common + ownWeight * own;
}

/** How far a deviate moves a quantity: volts or a share to be added, or a factor. See `TypeSpread`. */
export function amountAt({ spread: { quantity, low, high } }: Deviation, deviate: number): number {
  const x = Math.min(1, Math.max(-1, deviate / LIMIT_SIGMAS));
  if (LOGARITHMIC.has(quantity)) return x < 0 ? low ** -x : high ** x;
  const middle = ADDED.has(quantity) ? 0 : 1;
  return x < 0 ? middle - x * (low - middle) : middle + x * (high - middle);
}

/** Quantities to which an amount is added. */
const ADDED: ReadonlySet<SpreadQuantity> = new Set(['forwardVoltageV', 'baseEmitterV', 'taper']);
const LOGARITHMIC: ReadonlySet<SpreadQuantity> = new Set([
  'currentGain',
  'thresholdV',
  'leak',
  'speed',
  'outputOhms',
]);
