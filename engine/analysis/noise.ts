import { aWeighting } from '../audio/a-weighting.ts';
import type { NoiseKind } from '../devices/device-model.ts';
import type { NodeName } from '../devices/node.ts';
import { partName } from '../devices/origin.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NodalAnalysis } from '../solver/nodal-analysis.ts';
import { findRest, stateOf } from '../solver/operating-point.ts';
import { logarithmicFrequencies, singularAt } from './frequency-response.ts';
import { type NoiseSource, noiseSourcesOf } from './noise-sources.ts';

/** Range and resolution for the sum of noise. */
export interface NoiseRange {
  readonly fromHz: number;
  readonly toHz: number;
  readonly pointsPerDecade: number;
}

/** The audible range, for totals; 40 points a decade follow a pickup's resonance to 0.01 dB. */
export const AUDIBLE_RANGE: NoiseRange = { fromHz: 20, toHz: 20_000, pointsPerDecade: 40 };

export interface NoisePoint {
  readonly hz: number;
  /** Density at the output. */
  readonly outputVPerRtHz: number;
  /** The same divided by the gain from the instrument's voltage to the output; Infinity where nothing passes. */
  readonly inputVPerRtHz: number;
}

/** Noise at the output from the sources of one kind in one part. */
export interface NoiseContribution {
  /** Reference designator, with its unit ahead where it is no part of the build: see `partName`. */
  readonly part: string;
  readonly kind: NoiseKind;
  /** Over the range, RMS. */
  readonly outputV: number;
  /** The same, A-weighted. */
  readonly weightedV: number;
  /** Share of the A-weighted total's power, 0 to 1. */
  readonly share: number;
  /** Gain from the strongest of the sources to the output at 1 kHz; undefined for a noise current. */
  readonly gainDb: number | undefined;
}

/** Noise of a network at its output with nothing played. */
export interface Noise {
  readonly points: readonly NoisePoint[];
  /** Over the range, RMS. */
  readonly outputV: number;
  /** The same, A-weighted. */
  readonly weightedV: number;
  /** Over the range, referred to the instrument's voltage, RMS. */
  readonly inputV: number;
  readonly weightedInputV: number;
  /** The most audible first. */
  readonly contributions: readonly NoiseContribution[];
  /** Op-amps without noise data; they count as silent. */
  readonly unknown: readonly string[];
}

const GAIN_HZ = 1000;

/**
 * Noise of a network at its operating point, from all its sources ({@link noiseSourcesOf}). For each frequency one solution of the
 * adjoint equations, (∂F/∂v + jω·C)ᵀ·λ = e at the output, gives the transfer from every source:
 *
 *   S_out(f) = Σ_s |Σ_rows weight·λ_row|²·S_s(f)          v² = ∫ S_out df
 *
 * integrated by the trapezoidal rule over the logarithm of frequency.
 *
 * @throws NetworkError, OperatingPointError.
 * @see R. Rohrer, L. Nagel, R. Meyer, L. Weber, "Computationally efficient electronic-circuit noise calculations",
 * IEEE J. Solid-State Circuits SC-6 (1971), 204
 */
export function noiseOf(unpruned: Network, range: NoiseRange = AUDIBLE_RANGE): Noise {
  const network = pruneNetwork(unpruned);
  checkNetwork(network);
  const adjoint = new AdjointSystem(network);
  const sources = adjoint.sources;
  const { fromHz, toHz, pointsPerDecade } = range;
  const count = 1 + Math.max(1, Math.ceil(pointsPerDecade * Math.log10(toHz / fromHz)));
  const frequencies = logarithmicFrequencies(fromHz, toHz, count);
  const sums = new NoiseSums(sources.length);
  const points = frequencies.map((hz, index) => {
    adjoint.solve(hz);
    const isEnd = index === 0 || index === count - 1;
    const bandHz = (hz * Math.log(toHz / fromHz) * (isEnd ? 0.5 : 1)) / (count - 1);
    let density = 0;
    sources.forEach((source, place) => {
      const part = adjoint.transferSquared(source) * source.density * (1 + source.cornerHz / hz);
      sums.add(place, part, bandHz, hz);
      density += part;
    });
    const gainSquared = adjoint.inputGainSquared();
    sums.addInput(density / gainSquared, bandHz, hz);
    return { hz, outputVPerRtHz: Math.sqrt(density), inputVPerRtHz: Math.sqrt(density / gainSquared) };
  });
  adjoint.solve(GAIN_HZ);
  const gains = sources.map((source) =>
    source.unit === 'V' ? 10 * Math.log10(adjoint.transferSquared(source)) : undefined,
  );
  return {
    points,
    ...sums.totals(),
    contributions: contributionsOf(sources, sums, gains),
    unknown: network.primitives.flatMap((primitive) =>
      primitive.kind === 'opamp' && !primitive.noise ? [primitive.ref] : [],
    ),
  };
}

/** The transposed small-signal equations of a network, with one unit at the output. */
class AdjointSystem {
  readonly sources: readonly NoiseSource[];
  readonly #analysis: NodalAnalysis;
  readonly #output: number;
  readonly #input: number;

  constructor(network: Network) {
    const analysis = new NodalAnalysis(network);
    findRest(analysis);
    analysis.linearise();
    analysis.smallSignal.plan();
    const { system } = analysis;
    const { volts } = stateOf(analysis);
    const voltsAt = (node: NodeName) => volts.get(node) ?? 0;
    const { temperatureK, primitives } = network;
    this.sources = noiseSourcesOf(primitives, { system, temperatureK, voltsAt });
    this.#analysis = analysis;
    this.#output = system.indexOf(network.output);
    this.#input = system.indexOf(network.input);
  }

  solve(hz: number): void {
    if (!this.#analysis.smallSignal.adjoin(hz, this.#output)) throw singularAt(hz);
  }

  transferSquared({ rows }: NoiseSource): number {
    let re = 0;
    let im = 0;
    const { xRe, xIm } = this.#analysis.equations;
    for (const { row, weight } of rows) {
      re += weight * xRe[row]!;
      im += weight * xIm[row]!;
    }
    return re * re + im * im;
  }

  inputGainSquared(): number {
    const { xRe, xIm } = this.#analysis.equations;
    return xRe[this.#input]! ** 2 + xIm[this.#input]! ** 2;
  }
}

/** Mean squares of all sources over the range, plain and A-weighted. */
class NoiseSums {
  readonly plain: Float64Array;
  readonly weighted: Float64Array;
  #input = 0;
  #weightedInput = 0;

  constructor(sources: number) {
    this.plain = new Float64Array(sources);
    this.weighted = new Float64Array(sources);
  }

  add(source: number, density: number, bandHz: number, hz: number): void {
    this.plain[source]! += density * bandHz;
    this.weighted[source]! += density * bandHz * aWeighting(hz) ** 2;
  }

  addInput(density: number, bandHz: number, hz: number): void {
    this.#input += density * bandHz;
    this.#weightedInput += density * bandHz * aWeighting(hz) ** 2;
  }

  totals(): Pick<Noise, 'outputV' | 'weightedV' | 'inputV' | 'weightedInputV'> {
    const sum = (values: Float64Array) => values.reduce((total, value) => total + value, 0);
    return {
      outputV: Math.sqrt(sum(this.plain)),
      weightedV: Math.sqrt(sum(this.weighted)),
      inputV: Math.sqrt(this.#input),
      weightedInputV: Math.sqrt(this.#weightedInput),
    };
  }
}

/** Sources of one kind in one part taken together: "VR1 ccw" and "VR1 cw" are both VR1's thermal noise. */
function contributionsOf(
  sources: readonly NoiseSource[],
  { plain, weighted }: NoiseSums,
  gains: readonly (number | undefined)[],
): NoiseContribution[] {
  const total = weighted.reduce((sum, value) => sum + value, 0);
  const groups = new Map<string, number[]>();
  sources.forEach(({ origin, kind }, index) => {
    const key = `${partName(origin)} ${kind}`;
    groups.set(key, [...(groups.get(key) ?? []), index]);
  });
  return [...groups.values()]
    .map((members) => {
      const strongest = members.reduce((best, index) => (weighted[index]! > weighted[best]! ? index : best));
      const power = members.reduce((sum, index) => sum + weighted[index]!, 0);
      return {
        part: partName(sources[strongest]!.origin),
        kind: sources[strongest]!.kind,
        outputV: Math.sqrt(members.reduce((sum, index) => sum + plain[index]!, 0)),
        weightedV: Math.sqrt(power),
        share: total > 0 ? power / total : 0,
        gainDb: gains[strongest],
      };
    })
    .sort((one, other) => other.weightedV - one.weightedV);
}
