import { ratioToDb } from '../units/decibels.ts';
import type { PartSpec } from './part-spec.ts';

/** The values that formulas read from a build, in SI units. */
export interface PartReader {
  /** Resistance; infinite if not fitted, 0 if jumpered; of a potentiometer the whole track. */
  ohms(ref: string): number;
  /** Capacitance; 0 if not fitted, infinite if jumpered. */
  farads(ref: string): number;
  volts(ref: string): number;
  /** Forward voltage of a diode string at 1 mA and the bench's temperature; infinite if not fitted, 0 if jumpered. */
  forwardV(ref: string): number;
  /** Position of a switch, by its name. */
  position(name: string): string;
}

/**
 * Where the network of a build shows a gain or a cutoff frequency: from one net, driven by what drives it in the build, to
 * another. A net is given by its name or by one of its pins ("R11.1").
 */
export interface Transfer {
  readonly from: string;
  readonly to: string;
  /** Positions of knobs for this figure; the others stay where they stand. */
  readonly knobs?: Readonly<Record<string, number>>;
}

export interface GainTransfer extends Transfer {
  /** Resistors in series, the first at `from`: the only way for the signal; the other parts at that net get none. */
  readonly through?: readonly string[];
  /** Frequency of the gain, Hz; without it the highest gain in the audio range. */
  readonly hz?: number;
}

export interface CornerTransfer extends Transfer {
  readonly passband: 'above' | 'below';
}

/**
 * A formula with the parts that it reads. The set is closed, so that a circuit is plain data; `FORMULAS` has
 * the equations, which take the rest of the circuit as ideal. The figure itself comes from the network of the build
 * where the document says at which nets; see `engine/builds/figure-network.ts`.
 */
export type PartFormula =
  | {
      readonly formula: 'corner';
      readonly resistors: readonly string[];
      readonly joined: 'in series' | 'in parallel';
      /** In parallel. */
      readonly capacitors: readonly string[];
      readonly transfer?: CornerTransfer;
    }
  | {
      readonly formula: 'non-inverting gain';
      /** In series. */
      readonly feedback: readonly string[];
      readonly toGround: string;
      readonly transfer?: GainTransfer;
    }
  | {
      readonly formula: 'inverting gain';
      readonly feedback: string;
      /** In series. */
      readonly input: readonly string[];
      readonly transfer?: GainTransfer;
    }
  | {
      readonly formula: 'divider';
      readonly upper: string;
      readonly lower: string;
      readonly transfer?: GainTransfer;
    }
  | {
      readonly formula: 'parallel resistance';
      readonly resistors: readonly string[];
      /** Net at which the network shows the resistance, against ground; by a pin, that into the stage of the pin alone. */
      readonly seenAt?: string;
    }
  | {
      readonly formula: 'divided supply';
      readonly supply: string;
      readonly upper: string;
      readonly lower: string;
    }
  | {
      readonly formula: 'follower current';
      readonly supply: string;
      readonly upper: string;
      readonly lower: string;
      readonly emitter: string;
    }
  | {
      /** What the parts alone cannot say, since it depends on transistors: the network shows it. */
      readonly formula: 'voltage at rest';
      readonly net: string;
    }
  | {
      /** The same for a gain. */
      readonly formula: 'gain';
      readonly transfer: GainTransfer;
    }
  | {
      readonly formula: 'forward voltage';
      /** In series. */
      readonly diodes: readonly string[];
      /** Diodes to use instead at positions of a switch; at any other position there is no such voltage. */
      readonly at?: {
        readonly switch: string;
        readonly positions: Readonly<Record<string, readonly string[]>>;
      };
    };

/** A number that matters to a builder, and the parts that change it: a cutoff frequency, a gain, a level. */
export type PartFigure = PartFormula & {
  /** In words, as it follows "R4 sets the". */
  readonly name: string;
  /** Parts that change it; the one that a builder would change first comes first. */
  readonly parts: readonly string[];
};

export type FormulaName = PartFormula['formula'];
export type FigureUnit = 'Hz' | 'dB' | 'V' | 'A' | 'Ω';

/** Base to emitter of a silicon transistor at a fraction of a milliampere; common practice, no source. */
const BASE_EMITTER_V = 0.6;

interface Formula<N extends FormulaName> {
  readonly unit: FigureUnit;
  /** Whether it depends on the bench's temperature, which is then shown beside it. */
  readonly isThermal?: true;
  readonly of: (parts: Extract<PartFormula, { readonly formula: N }>, read: PartReader) => number;
}

const FORMULAS: { readonly [N in FormulaName]: Formula<N> } = {
  /** f = 1/(2π·R·C) */
  corner: {
    unit: 'Hz',
    of: ({ resistors, joined, capacitors }, read) => {
      const ohms = joined === 'in series' ? seriesOhms(read, resistors) : parallelOf(read, resistors);
      const farads = capacitors.reduce((sum, ref) => sum + read.farads(ref), 0);
      return 1 / (2 * Math.PI * ohms * farads);
    },
  },
  /** 1 + R_f/R_1 */
  'non-inverting gain': {
    unit: 'dB',
    of: ({ feedback, toGround }, read) => ratioToDb(1 + seriesOhms(read, feedback) / read.ohms(toGround)),
  },
  /** R_f/R_1, without its sign */
  'inverting gain': {
    unit: 'dB',
    of: ({ feedback, input }, read) => ratioToDb(read.ohms(feedback) / seriesOhms(read, input)),
  },
  /** R_2/(R_1 + R_2) */
  divider: {
    unit: 'dB',
    of: ({ upper, lower }, read) => ratioToDb(read.ohms(lower) / (read.ohms(lower) + read.ohms(upper))),
  },
  'parallel resistance': { unit: 'Ω', of: ({ resistors }, read) => parallelOf(read, resistors) },
  /** V·R_2/(R_1 + R_2) */
  'divided supply': { unit: 'V', of: (divider, read) => dividedSupply(divider, read) },
  /** (V·R_2/(R_1 + R_2) − V_BE)/R_E */
  'follower current': {
    unit: 'A',
    of: (stage, read) => (dividedSupply(stage, read) - BASE_EMITTER_V) / read.ohms(stage.emitter),
  },
  'voltage at rest': { unit: 'V', isThermal: true, of: () => Number.NaN },
  gain: { unit: 'dB', isThermal: true, of: () => Number.NaN },
  'forward voltage': {
    unit: 'V',
    isThermal: true,
    of: ({ diodes, at }, read) => {
      const counted = at ? at.positions[read.position(at.switch)] : diodes;
      if (!counted) return Number.POSITIVE_INFINITY;
      return counted.reduce((sum, ref) => sum + read.forwardV(ref), 0);
    },
  },
};

export const FORMULA_NAMES = Object.keys(FORMULAS) as readonly FormulaName[];

/** Unit of a figure's number. */
export function figureUnit({ formula }: Pick<PartFigure, 'formula'>): FigureUnit {
  return FORMULAS[formula].unit;
}

/** Whether a figure depends on the bench's temperature. */
export function isThermal({ formula }: Pick<PartFigure, 'formula'>): boolean {
  return FORMULAS[formula].isThermal === true;
}

/** A part that a formula reads, its place in the figure, and the kinds that it may be. */
export interface FigureRole {
  readonly key: string;
  readonly ref: string;
  readonly kinds: readonly PartSpec['kind'][];
}

const RESISTIVE = ['resistor', 'pot'] as const;
/** Allowed kinds of parts by the key of a formula. */
const KINDS_AT: Readonly<Record<string, readonly PartSpec['kind'][]>> = {
  resistors: RESISTIVE,
  feedback: RESISTIVE,
  toGround: RESISTIVE,
  input: RESISTIVE,
  upper: RESISTIVE,
  lower: RESISTIVE,
  emitter: RESISTIVE,
  capacitors: ['capacitor'],
  supply: ['supply'],
  diodes: ['diode'],
};

/** The parts that a figure reads. */
export function figureRoles(figure: PartFormula): readonly FigureRole[] {
  const formula = Object.entries(figure).flatMap(([key, refs]) => {
    const kinds = KINDS_AT[key];
    return kinds ? [refs as string | readonly string[]].flat().map((ref) => ({ key, ref, kinds })) : [];
  });
  const through = 'transfer' in figure && 'through' in figure.transfer ? figure.transfer.through : [];
  const plain = [...formula, ...through.map((ref) => ({ key: 'transfer.through', ref, kinds: RESISTIVE }))];
  if (figure.formula !== 'forward voltage' || !figure.at) return plain;
  const switched = Object.entries(figure.at.positions).flatMap(([position, refs]) =>
    refs.map((ref) => ({ key: `at.positions.${position}`, ref, kinds: KINDS_AT['diodes']! })),
  );
  return [...plain, ...switched];
}

/** A figure's number; infinite, 0 or NaN if the figure does not exist while parts are not fitted or jumpered. */
export function evaluateFigure(figure: PartFormula, read: PartReader): number {
  const { of } = FORMULAS[figure.formula] as Formula<FormulaName>;
  return of(figure, read);
}

/**
 * Short form for authors: the cutoff frequency of resistances in series and one capacitor, which a builder would change
 * first.
 */
export function cornerFigure(
  name: string,
  resistors: readonly string[],
  capacitor: string,
  transfer: CornerTransfer,
): PartFigure {
  return {
    name,
    formula: 'corner',
    parts: [capacitor, ...resistors],
    resistors,
    joined: 'in series',
    capacitors: [capacitor],
    transfer,
  };
}

/** Two resistances in parallel, Ω. */
export function parallelOhms(a: number, b: number): number {
  if (!Number.isFinite(a)) return b;
  return Number.isFinite(b) ? (a * b) / (a + b) : a;
}

function seriesOhms(read: PartReader, refs: readonly string[]): number {
  return refs.reduce((sum, ref) => sum + read.ohms(ref), 0);
}

function parallelOf(read: PartReader, refs: readonly string[]): number {
  return refs.map((ref) => read.ohms(ref)).reduce(parallelOhms);
}

function dividedSupply(
  { supply, upper, lower }: { readonly supply: string; readonly upper: string; readonly lower: string },
  read: PartReader,
): number {
  return (read.volts(supply) * read.ohms(lower)) / (read.ohms(upper) + read.ohms(lower));
}
