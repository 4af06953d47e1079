import type { DiodeData } from '../devices/diode.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../devices/physics.ts';
import { factorise, solveFactorised } from '../solver/dense-linear.ts';
import { forwardVoltage } from './diode-curve.ts';
import type { CurvePoint } from './junction-fit.ts';

/** What a fit gives of the data of a diode. */
export type DiodeFit = Required<
  Pick<DiodeData, 'saturationCurrentA' | 'emissionCoefficient' | 'seriesOhms' | 'leakageS'>
>;

/** Emission coefficients of real junctions: germanium and Schottky near 1, light-emitting diodes more. */
const EMISSION_LEAST = 1;
const EMISSION_MOST = 4;
/** The solver's exponential ends at 100 e-folds; a light-emitting diode must stay below that on a cold bench too. */
const MOST_E_FOLDS = 90;
const COLDEST_K = 263;
/** Bounds of the fit, within those of a piece that is read: ln of 1 A, and Ω. */
const LEAST_LOG_A = -100;
const MOST_LOG_A = Math.log(1e-2);
const MOST_OHMS = 1e4;
const STARTS = [1.05, 1.5, 2, 3] as const;
const MOST_STEPS = 80;

/**
 * The junction whose voltages are nearest to measured points, at 27 °C: least squares of the voltages over I_S, n and
 * R_S (of I_S and n alone where there are two points; R_S is then that of the nearest type), by Levenberg and Marquardt
 * from several starts. With a reverse current, the leak is what the junction leaves of it:
 *
 *   G = (I_R − I_S·(1 − exp(−V_R / (n·V_T)))) / V_R, at least 0
 *
 * without one it is that of the nearest type.
 *
 * @param points Rising in current and voltage. @param like Data of the nearest type.
 * @see tests/reference/fit_diodes.py, which fits the same by SciPy
 */
export function fitDiode(
  points: readonly CurvePoint[],
  reverse: CurvePoint | undefined,
  like: DiodeData,
): DiodeFit {
  const thermalV = thermalVoltage(NOMINAL_TEMPERATURE_K);
  const highestV = points.at(-1)!.voltageV;
  const leastEmission = Math.max(EMISSION_LEAST, highestV / (MOST_E_FOLDS * thermalVoltage(COLDEST_K)));
  const hasOhms = points.length > 2;
  const fitOf = ([logA, emission, ohms]: readonly number[]): DiodeFit => {
    const saturationCurrentA = Math.exp(logA!);
    const junction = { saturationCurrentA, emissionCoefficient: emission! };
    const leakageS = reverse ? leakOf(reverse, junction, thermalV) : (like.leakageS ?? 0);
    return { ...junction, seriesOhms: hasOhms ? ohms! : like.seriesOhms, leakageS };
  };
  const bounded = ([logA, emission, ohms]: readonly number[]) => [
    Math.min(MOST_LOG_A, Math.max(LEAST_LOG_A, logA!)),
    Math.min(EMISSION_MOST, Math.max(leastEmission, emission!)),
    ...(hasOhms ? [Math.min(MOST_OHMS, Math.max(0, ohms!))] : []),
  ];
  const missesOf = (place: readonly number[]) => voltageMisses(fitOf(place), points, like);
  const ends = STARTS.map((emission) => {
    const { currentA, voltageV } = points[0]!;
    const logA = Math.log(currentA) - voltageV / (emission * thermalV);
    return descend(missesOf, bounded, bounded([logA, emission, like.seriesOhms]));
  });
  const best = ends.reduce((one, other) => (sizeOf(missesOf(other)) < sizeOf(missesOf(one)) ? other : one));
  return fitOf(best);
}

/** By how much a fit is off each point, V. */
export function voltageMisses(
  fit: DiodeFit,
  points: readonly CurvePoint[],
  like: DiodeData,
): readonly number[] {
  const data = { ...like, ...fit };
  return points.map(
    ({ currentA, voltageV }) => forwardVoltage(data, currentA, NOMINAL_TEMPERATURE_K) - voltageV,
  );
}

function leakOf(
  { voltageV, currentA }: CurvePoint,
  { saturationCurrentA, emissionCoefficient }: Pick<DiodeFit, 'saturationCurrentA' | 'emissionCoefficient'>,
  thermalV: number,
): number {
  const own = -saturationCurrentA * Math.expm1(-voltageV / (emissionCoefficient * thermalV));
  return Math.max(0, (currentA - own) / voltageV);
}

function sizeOf(misses: readonly number[]): number {
  return misses.reduce((sum, miss) => sum + miss * miss, 0);
}

/** Levenberg-Marquardt with the slopes by differences: a step that is no better is made shorter. */
function descend(
  missesOf: (place: readonly number[]) => readonly number[],
  bounded: (place: readonly number[]) => number[],
  start: number[],
): readonly number[] {
  let [place, misses, damping] = [start, missesOf(start), 1e-3];
  for (let step = 0; step < MOST_STEPS && damping < 1e12; step++) {
    const next = bounded(place.map((value, index) => value + dampedStep(missesOf, place, damping)[index]!));
    const found = missesOf(next);
    if (sizeOf(found) < sizeOf(misses)) [place, misses, damping] = [next, found, damping / 10];
    else damping *= 10;
  }
  return place;
}

/** Solution of (JᵀJ + λ·diag(JᵀJ))·d = −Jᵀ·misses; none where a direction changes nothing. */
function dampedStep(
  missesOf: (place: readonly number[]) => readonly number[],
  place: readonly number[],
  damping: number,
): readonly number[] {
  const n = place.length;
  const misses = missesOf(place);
  const slopes = place.map((value, index) => {
    const size = 1e-6 * Math.max(1e-3, Math.abs(value));
    const moved = missesOf(place.map((own, other) => (other === index ? own + size : own)));
    return moved.map((miss, point) => (miss - misses[point]!) / size);
  });
  const product = (one: readonly number[], other: readonly number[]) =>
    one.reduce((sum, value, index) => sum + value * other[index]!, 0);
  const matrix = new Float64Array(n * n);
  for (let row = 0; row < n; row++)
    for (let column = 0; column < n; column++)
      matrix[row * n + column] = product(slopes[row]!, slopes[column]!) * (row === column ? 1 + damping : 1);
  return solved(
    matrix,
    Float64Array.from(slopes, (slope) => -product(slope, misses)),
  );
}

function solved(matrix: Float64Array, rightHandSide: Float64Array): readonly number[] {
  const n = rightHandSide.length;
  const pivots = new Int32Array(n);
  const factors = factorise(matrix, n, pivots);
  if (!factors) return [...rightHandSide].map(() => 0);
  solveFactorised(factors, n, pivots, rightHandSide, 1);
  return [...rightHandSide];
}
