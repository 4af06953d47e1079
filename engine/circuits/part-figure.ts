import { ratioToDb } from '../units/decibels.ts';
import type { PartSpec } from './part-spec.ts';

/** What formulas read of a build: SI values of what is soldered, with left-out and bridged parts as they conduct. */
export interface PartReader {
  /** Resistance; infinite where left out, 0 where bridged; the whole track of a potentiometer. */
  ohms(ref: string): number;
  /** Capacitance; 0 where left out, infinite where bridged. */
  farads(ref: string): number;
  volts(ref: string): number;
  /** Forward voltage of a diode string at 1 mA and the bench's temperature; infinite where left out, 0 where bridged. */
  forwardV(ref: string): number;
  /** Where a switch stands, by its name. */
  position(name: string): string;
}

/**
 * A formula with the parts that it reads. The set is closed, so that a circuit is data: what each computes stands at
 * `FORMULAS`, with the rest of the circuit taken as ideal.
 */
export type PartFormula =
  | {
      readonly formula: 'corner';
      readonly resistors: readonly string[];
      readonly joined: 'in series' | 'in parallel';
      /** In parallel. */
      readonly capacitors: readonly string[];
    }
  | {
      readonly formula: 'non-inverting gain';
      /** In series. */
      readonly feedback: readonly string[];
      readonly toGround: string;
    }
  | {
      readonly formula: 'inverting gain';
      readonly feedback: string;
      /** In series. */
      readonly input: readonly string[];
    }
  | { readonly formula: 'divider'; readonly upper: string; readonly lower: string }
  | { readonly formula: 'parallel resistance'; readonly resistors: readonly string[] }
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
      readonly formula: 'forward voltage';
      /** In series. */
      readonly diodes: readonly string[];
      /** Diodes that count at a switch's positions instead; at any other position there is no such voltage. */
      readonly at?: {
        readonly switch: string;
        readonly positions: Readonly<Record<string, readonly string[]>>;
      };
    };

/** A number that a builder steers by, and the parts that move it: a corner, a gain, a level. */
export type PartFigure = PartFormula & {
  /** In words, as it follows "R4 sets the". */
  readonly name: string;
  /** Parts that move it, the one that a builder moves first ahead of the others. */
  readonly parts: readonly string[];
};

export type FormulaName = PartFormula['formula'];
export type FigureUnit = 'Hz' | 'dB' | 'V' | 'A' | 'Ω';

/** Base to emitter of a silicon transistor at a fraction of a milliampere; common practice, no source. */
const BASE_EMITTER_V = 0.6;

interface Formula<N extends FormulaName> {
  readonly unit: FigureUnit;
  /** Whether it moves with the bench's temperature, which is then said beside it. */
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

/** Whether a figure moves with the bench's temperature. */
export function isThermal({ formula }: Pick<PartFigure, 'formula'>): boolean {
  return FORMULAS[formula].isThermal === true;
}

/** A part that a formula reads, where the figure names it, and the kinds of part that it can be. */
export interface FigureRole {
  readonly key: string;
  readonly ref: string;
  readonly kinds: readonly PartSpec['kind'][];
}

const RESISTIVE = ['resistor', 'pot'] as const;
/** Kinds of part by the key that a formula names them at. */
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

/** The parts that a figure's formula reads. */
export function figureRoles(figure: PartFormula): readonly FigureRole[] {
  const plain = Object.entries(figure).flatMap(([key, refs]) => {
    const kinds = KINDS_AT[key];
    return kinds ? [refs as string | readonly string[]].flat().map((ref) => ({ key, ref, kinds })) : [];
  });
  if (figure.formula !== 'forward voltage' || !figure.at) return plain;
  const switched = Object.entries(figure.at.positions).flatMap(([position, refs]) =>
    refs.map((ref) => ({ key: `at.positions.${position}`, ref, kinds: KINDS_AT['diodes']! })),
  );
  return [...plain, ...switched];
}

/** A figure's number; infinite, 0 or not a number where parts that are left out or bridged leave no such figure. */
export function evaluateFigure(figure: PartFormula, read: PartReader): number {
  const { of } = FORMULAS[figure.formula] as Formula<FormulaName>;
  return of(figure, read);
}

/** For authors: the corner of resistances in series and one capacitor, which is what a builder moves first. */
export function cornerFigure(name: string, resistors: readonly string[], capacitor: string): PartFigure {
  return {
    name,
    formula: 'corner',
    parts: [capacitor, ...resistors],
    resistors,
    joined: 'in series',
    capacitors: [capacitor],
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
