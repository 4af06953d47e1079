import type { DatasheetPoint } from './catalogue-entry.ts';

/** Source of a figure that is a guess from memory of the type's class, and of the range around it. */
export const ESTIMATE = 'estimate';

const UNSOURCED = /\bfrom memory\b|^estimate|\bestimate$|\bno source\b/;

/** Whether a figure was read in a document or measured on a piece, not remembered or estimated. */
export function isSourced(source: string): boolean {
  return !UNSOURCED.test(source);
}

/** Currents at which every diode is compared with what is known of its type, A. */
export const CURVE_CURRENTS_A = [10e-6, 100e-6, 1e-3, 10e-3] as const;
/** Reverse voltage at which every diode's leak is stated, V: about what one of a pair sees at most, and usual in sheets. */
export const LEAK_TEST_V = 1.5;

/** Forward voltages at {@link CURVE_CURRENTS_A}, V; undefined where there is none. */
export type CurveVolts = readonly [
  number | undefined,
  number | undefined,
  number | undefined,
  number | undefined,
];

/** Typical voltages of one source, at {@link CURVE_CURRENTS_A}. */
export function typicalCurve(volts: CurveVolts, source: string): readonly DatasheetPoint[] {
  return volts.flatMap((typical, index): DatasheetPoint[] =>
    typical === undefined
      ? []
      : [{ quantity: 'forwardVoltageV', typical, at: { forwardA: CURVE_CURRENTS_A[index]! }, source }],
  );
}

/** An estimated curve with the range in which pieces are thought to lie, ± V. */
export function estimatedCurve(volts: CurveVolts, halfV: number): readonly DatasheetPoint[] {
  return typicalCurve(volts, ESTIMATE).map((point) => ({
    ...point,
    minimum: rounded(point.typical! - halfV),
    maximum: rounded(point.typical! + halfV),
  }));
}

/** An estimated reverse current at {@link LEAK_TEST_V}, from a third to three times of it. */
export function estimatedLeak(amps: number): DatasheetPoint {
  return {
    quantity: 'reverseCurrentA',
    minimum: amps / 3,
    typical: amps,
    maximum: 3 * amps,
    at: { reverseV: LEAK_TEST_V },
    source: ESTIMATE,
  };
}

/** Limit of the reverse current at a reverse voltage, A. */
export function leakPoint(
  reverseV: number,
  figures: Pick<DatasheetPoint, 'minimum' | 'typical' | 'maximum'>,
  source: string,
): DatasheetPoint {
  return { quantity: 'reverseCurrentA', ...figures, at: { reverseV }, source };
}

/** To tenths of a millivolt. */
function rounded(volts: number): number {
  return Math.round(1e4 * volts) / 1e4;
}
