import { type DiodeData, diodeDataAt } from '../devices/diode.ts';
import { thermalVoltage } from '../devices/physics.ts';
import { factorise, solveFactorised } from '../solver/dense-linear.ts';
import { forwardVoltage } from './diode-curve.ts';
import type { CurvePoint } from './junction-fit.ts';

/** What a fit gives of the data of a diode. */
export type DiodeFit = Required<
  Pick<DiodeData, 'saturationCurrentA' | 'emissionCoefficient' | 'seriesOhms' | 'leakageS'>
>;

/** Emission coefficients of real junctions: germanium and Schottky near 1, light-emitting diodes more. */
const EMISSION_LEAST = 1;
export const EMISSION_MOST = 4;
/** The solver's exponential ends at 100 e-folds; a light-emitting diode must stay below that on a cold bench too. */
const MOST_E_FOLDS = 90;
const COLDEST_K = 263;
/** Bounds of the fit, within those of a piece that is read: ln of 1 A, and Ω. */
const LOG_A = [-100, Math.log(1e-2)] as const;
const MOST_OHMS = 1e4;
/** Two unknowns go through two points to less than this, V, unless a bound stops them. */
const NO_MISS_V = 0.5e-3;
const STARTS = [1.05, 1.5, 2, 3] as const;
const MOST_STEPS = 80;

/**
 * The junction whose voltages are nearest to measured points: least squares of the voltages over I_S, n and
 * R_S, by Levenberg and Marquardt from several starts. Where there are two points, R_S is that of the nearest type; where
 * that is too much for the points, n is the least there is and R_S is sought instead. One point gives I_S alone; n and R_S
 * are then those of the type. With a reverse current, the leak is what the junction leaves of it:
 *
 *   G = (I_R − I_S·(1 − exp(−V_R / (n·V_T)))) / V_R, at least 0
 *
 * without one it is that of the nearest type.
 *
 * @param points Rising in current and voltage. @param like Data of the nearest type, at 27 °C.
 * @param temperatureK At which the points were measured. @returns The junction at 27 °C.
 * @see tests/reference/fit_diodes.py, which fits the same by SciPy
 */
export function fitDiode(
  points: readonly CurvePoint[],
  reverse: CurvePoint | undefined,
  like: DiodeData,
  temperatureK: number,
): DiodeFit {
  const fit = fitAt(points, reverse, diodeDataAt(like, temperatureK), temperatureK);
  const { saturationCurrentA, leakageS } = fit;
  const unit = { ...like, ...fit, saturationCurrentA: 1, leakageS: 1 };
  const { saturationCurrentA: grown, leakageS: leaking = 1 } = diodeDataAt(unit, temperatureK);
  return { ...fit, saturationCurrentA: saturationCurrentA / grown, leakageS: leakageS / leaking };
}

/** Data and fit at the temperature of the points. */
function fitAt(
  points: readonly CurvePoint[],
  reverse: CurvePoint | undefined,
  like: DiodeData,
  temperatureK: number,
): DiodeFit {
  const thermalV = thermalVoltage(temperatureK);
  const leastEmission = leastEmissionOf(points);
  const missesOf = (fit: DiodeFit) => missesAt({ ...like, ...fit }, points, temperatureK);
  const fitOf = (logA: number, emissionCoefficient: number, seriesOhms: number): DiodeFit => {
    const junction = { saturationCurrentA: Math.exp(logA), emissionCoefficient };
    const leakageS = reverse ? leakOf(reverse, junction, thermalV) : (like.leakageS ?? 0);
    return { ...junction, seriesOhms, leakageS };
  };
  const logAThroughFirst = (emission: number) =>
    Math.log(points[0]!.currentA) - points[0]!.voltageV / (emission * thermalV);
  const nearest = (search: Search) => nearestFit(search, missesOf);
  const emissions = [leastEmission, EMISSION_MOST] as const;
  const starts = STARTS.map((emission) => [logAThroughFirst(emission), emission, like.seriesOhms]);
  if (points.length > 2)
    return nearest({
      bounds: [LOG_A, emissions, [0, MOST_OHMS]],
      starts,
      fitOf: ([logA, emission, ohms]) => fitOf(logA!, emission!, ohms!),
    });
  if (points.length === 1)
    return nearest({
      bounds: [LOG_A],
      starts: [[logAThroughFirst(like.emissionCoefficient)]],
      fitOf: ([logA]) => fitOf(logA!, like.emissionCoefficient, like.seriesOhms),
    });
  const usual = nearest({
    bounds: [LOG_A, emissions],
    starts: starts.map((start) => start.slice(0, 2)),
    fitOf: ([logA, emission]) => fitOf(logA!, emission!, like.seriesOhms),
  });
  if (usual.emissionCoefficient > leastEmission || worstOf(missesOf(usual)) < NO_MISS_V) return usual;
  return nearest({
    bounds: [LOG_A, [0, like.seriesOhms]],
    starts: [[logAThroughFirst(leastEmission), like.seriesOhms]],
    fitOf: ([logA, ohms]) => fitOf(logA!, leastEmission, ohms!),
  });
}

/** Least emission coefficient of a fit: with it the exponential of the solver reaches the highest point. */
export function leastEmissionOf(points: readonly CurvePoint[]): number {
  return Math.max(EMISSION_LEAST, points.at(-1)!.voltageV / (MOST_E_FOLDS * thermalVoltage(COLDEST_K)));
}

/** What is sought: the bounds of each unknown, places to start from, and the fit at a place. */
interface Search {
  readonly bounds: readonly (readonly [number, number])[];
  readonly starts: readonly (readonly number[])[];
  readonly fitOf: (place: readonly number[]) => DiodeFit;
}

function nearestFit(
  { bounds, starts, fitOf }: Search,
  missesOfFit: (fit: DiodeFit) => readonly number[],
): DiodeFit {
  const missesOf = (place: readonly number[]) => missesOfFit(fitOf(place));
  const bounded = (place: readonly number[]) =>
    place.map((value, index) => Math.min(bounds[index]![1], Math.max(bounds[index]![0], value)));
  const ends = starts.map((start) => descend(missesOf, bounded, bounded(start)));
  return fitOf(ends.reduce((one, other) => (sizeOf(missesOf(other)) < sizeOf(missesOf(one)) ? other : one)));
}

function worstOf(misses: readonly number[]): number {
  return Math.max(...misses.map(Math.abs));
}

/** By how much a fit is off each point, V. @param like Data of the nearest type, at 27 °C. */
export function voltageMisses(
  fit: DiodeFit,
  points: readonly CurvePoint[],
  like: DiodeData,
  temperatureK: number,
): readonly number[] {
  return missesAt(diodeDataAt({ ...like, ...fit }, temperatureK), points, temperatureK);
}

function missesAt(data: DiodeData, points: readonly CurvePoint[], temperatureK: number): readonly number[] {
  return points.map(({ currentA, voltageV }) => forwardVoltage(data, currentA, temperatureK) - voltageV);
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
