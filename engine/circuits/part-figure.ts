import { ratioToDb } from '../units/decibels.ts';

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

/** A number that a builder steers by, and the parts that move it: a corner, a gain, a level. */
export interface PartFigure {
  /** In words, as it follows "R4 sets the". */
  readonly name: string;
  readonly unit: 'Hz' | 'dB' | 'V' | 'A' | 'Ω';
  /** Parts that move it. */
  readonly parts: readonly string[];
  /** Whether it moves with the bench's temperature, which is then said beside it. */
  readonly isThermal?: true;
  /** Infinite, 0 or not a number where parts that are left out or bridged leave no such figure. */
  readonly of: (read: PartReader) => number;
}

/** Corner of a resistance and a capacitance, f = 1/(2π·R·C), Hz. */
export function cornerHz(ohms: number, farads: number): number {
  return 1 / (2 * Math.PI * ohms * farads);
}

/** Two resistances in parallel, Ω. */
export function parallelOhms(a: number, b: number): number {
  if (!Number.isFinite(a)) return b;
  return Number.isFinite(b) ? (a * b) / (a + b) : a;
}

/** Corner of one resistor and one capacitor; the capacitor is what a builder moves first. */
export function cornerFigure(name: string, resistor: string, capacitor: string): PartFigure {
  return {
    name,
    unit: 'Hz',
    parts: [capacitor, resistor],
    of: ({ ohms, farads }) => cornerHz(ohms(resistor), farads(capacitor)),
  };
}

/** Corner of a capacitor and the sum of two resistances, the first of which is what a builder moves. */
export function seriesCornerFigure(
  name: string,
  [first, second]: readonly [string, string],
  capacitor: string,
): PartFigure {
  return {
    name,
    unit: 'Hz',
    parts: [capacitor, first, second],
    of: ({ ohms, farads }) => cornerHz(ohms(first) + ohms(second), farads(capacitor)),
  };
}

/** Gain of a non-inverting stage, 1 + R_f/R_1, with the feedback resistors in series. */
export function gainFigure(name: string, feedback: readonly string[], toGround: string): PartFigure {
  return {
    name,
    unit: 'dB',
    parts: [feedback.at(-1)!, toGround],
    of: ({ ohms }) => ratioToDb(1 + feedback.reduce((sum, ref) => sum + ohms(ref), 0) / ohms(toGround)),
  };
}

/** Level of a divider, R_2/(R_1 + R_2), at full. */
export function dividerFigure(name: string, upper: string, lower: string): PartFigure {
  return {
    name,
    unit: 'dB',
    parts: [upper, lower],
    of: ({ ohms }) => ratioToDb(ohms(lower) / (ohms(lower) + ohms(upper))),
  };
}

/** Two resistances in parallel, as what stands ahead sees them. */
export function loadFigure(name: string, first: string, second: string): PartFigure {
  return {
    name,
    unit: 'Ω',
    parts: [first, second],
    of: ({ ohms }) => parallelOhms(ohms(first), ohms(second)),
  };
}

/** Half the supply, or what a divider makes of it, and the corner above which its capacitor holds it. */
export function biasFigures(upper: string, lower: string, capacitor: string): readonly PartFigure[] {
  return [
    {
      name: 'bias',
      unit: 'V',
      parts: [upper, lower, 'V1'],
      of: ({ ohms, volts }) => (volts('V1') * ohms(lower)) / (ohms(upper) + ohms(lower)),
    },
    {
      name: 'corner above which the bias is held',
      unit: 'Hz',
      parts: [capacitor, upper, lower],
      of: ({ ohms, farads }) => cornerHz(parallelOhms(ohms(upper), ohms(lower)), farads(capacitor)),
    },
  ];
}
