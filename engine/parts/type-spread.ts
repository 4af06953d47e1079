/**
 * How much parts of one type or value differ from piece to piece. It is shown beside the difference between two
 * types: another piece of the same type may change as much.
 */
import { findBjt, findDiode, findFet } from './catalogue.ts';
import type { BjtEntry, DatasheetPoint, DiodeEntry, FetEntry, PointQuantity } from './catalogue-entry.ts';
import { ESTIMATE, isSourced } from './curve-points.ts';

/** What differs from piece to piece. */
export type SpreadQuantity =
  | 'value'
  | 'forwardVoltageV'
  | 'currentGain'
  /** At a given collector current. */
  | 'baseEmitterV'
  | 'thresholdV'
  | 'speed'
  | 'outputOhms'
  /** Of the collector junction of germanium. */
  | 'leak'
  /** Of a potentiometer, at half its rotation. */
  | 'taper';

/** The usual range of a quantity within one type. */
export interface TypeSpread {
  readonly quantity: SpreadQuantity;
  /**
   * Ends of the range relative to the data: a voltage to be added for `forwardVoltageV` and `baseEmitterV`, a share of the track
   * for `taper`, a factor for all others.
   */
  readonly low: number;
  readonly high: number;
  /** How many times more the piece at the low forward voltage leaks backwards; that at the high one so many times less. */
  readonly leakFactor?: number;
  /** In words, such as "forward voltage ±40 mV at 1 mA". */
  readonly text: string;
  readonly source: string;
}

/** Kinds of parts of a build. */
export type SpreadKind =
  | 'resistor'
  | 'capacitor'
  | 'closeCapacitor'
  | 'wideCapacitor'
  | 'electrolytic'
  | 'inductor'
  | 'pot'
  | 'supply'
  | 'diode'
  | 'npn'
  | 'pnp'
  | 'nJfet'
  | 'pJfet'
  | 'nMosfet'
  | 'opamp'
  | 'converter';

const UNSOURCED = 'our estimate';

const VALUE_SPREADS: Readonly<
  Record<Exclude<SpreadKind, 'diode' | 'npn' | 'pnp' | 'nJfet' | 'pJfet' | 'nMosfet'>, TypeSpread>
> = {
  resistor: ratio('value', 0.01, 'value ±1 % (metal film)', UNSOURCED),
  capacitor: ratio(
    'value',
    0.1,
    'value ±10 % (film or ceramic, letter K)',
    'IEC 60062:2016, tolerance letter K; that these are K: common practice',
  ),
  closeCapacitor: ratio(
    'value',
    0.05,
    'value ±5 % (C0G, letter J)',
    'IEC 60062:2016, tolerance letter J; that these are J: common practice',
  ),
  wideCapacitor: ratio(
    'value',
    0.2,
    'value ±20 % (X5R, letter M)',
    'IEC 60062:2016, tolerance letter M; that these are M: common practice',
  ),
  electrolytic: ratio(
    'value',
    0.2,
    'value ±20 % (electrolytic, letter M)',
    'IEC 60062:2016, tolerance letter M; that electrolytics are M: common practice',
  ),
  inductor: ratio('value', 0.1, 'value ±10 %', UNSOURCED),
  pot: ratio('value', 0.2, 'track resistance ±20 %', 'Bourns PDB18, Alps RK: total resistance tolerance'),
  supply: ratio('value', 0.06, 'voltage ±6 % (a battery from fresh to used)', UNSOURCED),
  opamp: ratio('speed', 0.3, 'gain-bandwidth and slew rate ±30 %', UNSOURCED),
  converter: ratio('outputOhms', 0.4, 'output resistance ±40 %', UNSOURCED),
};

/** Of a value with a chosen tolerance. @param share 0.05 for 5 %. */
export function valueSpread(share: number): TypeSpread {
  return ratio('value', share, `value ±${Number((100 * share).toPrecision(3))} %`, 'as chosen');
}

/** How far the wiper of a linear track may be from the middle at half rotation; less for other tapers: see `trackHalves`. */
export const TAPER_SPREAD: TypeSpread = {
  quantity: 'taper',
  low: -0.05,
  high: 0.05,
  text: 'taper ±5 % of the track at its middle',
  source: UNSOURCED,
};

/** Of the collector junction of a germanium transistor. */
export const LEAK_SPREAD: TypeSpread = {
  quantity: 'leak',
  low: 1 / 3,
  high: 3,
  text: 'leakage a third to three times',
  source: 'estimate: as germanium diodes',
};

/**
 * Base-emitter voltage of a transistor whose sheet bounds it from both sides and says what is typical; undefined elsewhere: limits
 * alone, as at 2N3906, are those of a test in saturation, far wider than pieces differ. What is typical is taken for the data: a
 * window says how far pieces differ, and data from one card need not lie in it.
 */
export function baseEmitterSpread(type: string): TypeSpread | undefined {
  const window = bounded(findBjt(type).limits, 'baseEmitterV');
  if (window?.typical === undefined) return undefined;
  const { minimum, typical, maximum, at, source } = window;
  const amps = `${Number((1000 * (at.collectorA ?? 0)).toPrecision(3))} mA`;
  return {
    quantity: 'baseEmitterV',
    low: minimum - typical,
    high: maximum - typical,
    text: `base-emitter voltage ${minimum} to ${maximum} V at ${amps}`,
    source,
  };
}

/** Of one piece: it is what it is. */
export const NO_SPREAD: TypeSpread = {
  quantity: 'forwardVoltageV',
  low: 0,
  high: 0,
  text: 'one piece, without a spread',
  source: 'by definition',
};

/** Forward voltage from piece to piece by family of diodes. */
const DIODE_SPREADS: Readonly<Record<string, TypeSpread>> = {
  silicon: volts(0.02, 'forward voltage ±20 mV', UNSOURCED),
  germanium: volts(
    0.04,
    'forward voltage ±40 mV',
    'two published 1N34A model cards differ by 40.5 mV at 1 mA; that pieces do both ways: common practice',
  ),
  Schottky: volts(
    0.04,
    'forward voltage ±40 mV',
    'ST BAT41 Doc ID 12633 rev 2: 0.40 typical, 0.45 V maximum at 1 mA; the same downwards: common practice',
  ),
  LED: volts(0.1, 'forward voltage ±100 mV', UNSOURCED),
  'transistor junction': volts(0.04, 'forward voltage ±40 mV', 'estimate: as germanium'),
  Zener: ratio('value', 0.05, 'Zener voltage ±5 %', 'BZX79C table: letter C is ±5 %'),
  MOSFET: ratio(
    'thresholdV',
    0.2,
    'threshold voltage ±20 %',
    'Vishay 70226 rev F bounds 0.8 to 3 V; our estimate',
  ),
};

/**
 * Spread of one type, or of values of one kind. A diode or transistor whose datasheet bounds the quantity from both
 * sides has its spread from there.
 *
 * @param type Ignored for kinds that have values. @throws PartTypeError for a type that the catalogue does not have.
 */
export function typeSpread(kind: SpreadKind, type: string): TypeSpread {
  switch (kind) {
    case 'diode':
      return diodeSpread(findDiode(type));
    case 'npn':
    case 'pnp':
      return gainSpread(findBjt(type));
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet':
      return thresholdSpread(findFet(type));
    default:
      return VALUE_SPREADS[kind];
  }
}

/**
 * From a sheet that bounds the voltage from both sides, else from the estimated range at the current of use, else that
 * of the family. The leak spreads with it in germanium, where one sheet allows ten times what is typical.
 */
function diodeSpread({ family, limits, data }: DiodeEntry): TypeSpread {
  const usual = DIODE_SPREADS[family] ?? DIODE_SPREADS['silicon']!;
  // Of a two-way type its breakdown or channel differs.
  if (usual.quantity !== 'forwardVoltageV') return usual;
  const own = voltageWindow(limits) ?? usual;
  if (data.leakageS === undefined) return own;
  const text = `${own.text}; leak a third to three times, most where the voltage is lowest (${ESTIMATE})`;
  return { ...own, text, leakFactor: LEAK_FACTOR };
}

function voltageWindow(limits: readonly DatasheetPoint[]): TypeSpread | undefined {
  const windows = limits.filter(isVoltageWindow);
  const window = windows.find(({ source }) => isSourced(source)) ?? nearestToUse(windows);
  if (!window) return undefined;
  const { minimum, maximum, at, source } = window;
  const half = (maximum! - minimum!) / 2;
  const text = `forward voltage ±${Math.round(1000 * half)} mV at ${Number((1000 * at.forwardA!).toPrecision(3))} mA`;
  return volts(half, text, source === ESTIMATE ? 'estimate, from memory of the class' : source);
}

function isVoltageWindow({ quantity, minimum, maximum, at }: DatasheetPoint): boolean {
  return (
    quantity === 'forwardVoltageV' &&
    minimum !== undefined &&
    maximum !== undefined &&
    at.forwardA !== undefined
  );
}

/** The one nearest to what a diode carries in a feedback loop, 10 to 65 uA. */
function nearestToUse(windows: readonly DatasheetPoint[]): DatasheetPoint | undefined {
  const distance = ({ at }: DatasheetPoint) => Math.abs(Math.log(at.forwardA! / LOOP_A));
  return [...windows].sort((one, other) => distance(one) - distance(other))[0];
}
const LOOP_A = 50e-6;
/** Estimate: from piece to piece of germanium. */
const LEAK_FACTOR = 3;

function gainSpread({ data, driver, limits }: BjtEntry): TypeSpread {
  const window = bounded(limits, 'currentGain');
  if (!window) {
    return {
      quantity: 'currentGain',
      // Both transistors of a Darlington change alike.
      low: driver ? Math.SQRT1_2 : 0.5,
      high: driver ? Math.SQRT2 : 2,
      text: 'current gain half to twice',
      source: UNSOURCED,
    };
  }
  const { minimum, maximum, source } = window;
  return {
    quantity: 'currentGain',
    low: Math.min(1, minimum / data.forwardBeta),
    high: Math.max(1, maximum / data.forwardBeta),
    text: `current gain ${minimum} to ${maximum}`,
    source,
  };
}

function thresholdSpread({ kind, data, limits }: FetEntry): TypeSpread {
  const quantity = kind === 'nMosfet' ? 'gateThresholdV' : 'gateCutoffV';
  const window = bounded(limits, quantity);
  if (!window) return ratio('thresholdV', 0.3, 'threshold voltage ±30 %', UNSOURCED);
  const { minimum, maximum, source } = window;
  // Sheets of P-channel types print the sign that the gate has there; the data is that of the mirrored N-channel.
  const thresholdV = kind === 'pJfet' ? -data.thresholdV : data.thresholdV;
  const factors = [minimum / thresholdV, maximum / thresholdV];
  return {
    quantity: 'thresholdV',
    low: Math.min(1, ...factors),
    high: Math.max(1, ...factors),
    text: `threshold voltage ${minimum} to ${maximum} V`,
    source,
  };
}

function bounded(limits: readonly DatasheetPoint[], quantity: PointQuantity) {
  for (const { quantity: own, minimum, typical, maximum, at, source } of limits) {
    if (own === quantity && minimum !== undefined && maximum !== undefined)
      return { minimum, typical, maximum, at, source };
  }
  return undefined;
}

function ratio(quantity: SpreadQuantity, share: number, text: string, source: string): TypeSpread {
  return { quantity, low: 1 - share, high: 1 + share, text, source };
}

function volts(half: number, text: string, source: string): TypeSpread {
  return { quantity: 'forwardVoltageV', low: -half, high: half, text, source };
}
