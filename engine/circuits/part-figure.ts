/** What formulas read of a build: SI values of what is soldered, with left-out and bridged parts as they conduct. */
export interface PartReader {
  /** Resistance; infinite where left out, 0 where bridged; the whole track of a potentiometer. */
  ohms(ref: string): number;
  /** Capacitance; 0 where left out, infinite where bridged. */
  farads(ref: string): number;
  volts(ref: string): number;
  /** Forward voltage of a diode string at 1 mA; infinite where left out, 0 where bridged. */
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
