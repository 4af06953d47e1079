import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NetworkError } from '../solver/network-error.ts';
import { NodalAnalysis } from '../solver/nodal-analysis.ts';
import { findRest, type OperatingPoint, takeState } from '../solver/operating-point.ts';

/** Gain from the input to one net at one frequency. */
export interface ResponsePoint {
  readonly hz: number;
  readonly decibels: number;
  /** −180 to 180. */
  readonly phaseDegrees: number;
}

/** Small-signal response of a network, linearised at rest, to 1 V at the input. */
export class FrequencyResponse {
  readonly #analysis: NodalAnalysis;

  /** @param rest Of another network, by which to linearise this one. @throws NetworkError, OperatingPointError. */
  constructor(unpruned: Network, rest?: OperatingPoint) {
    const network = pruneNetwork(unpruned);
    checkNetwork(network);
    const analysis = new NodalAnalysis(network);
    this.#analysis = analysis;
    if (rest) takeState(analysis, rest);
    else findRest(analysis);
    analysis.linearise();
    analysis.smallSignal.plan();
  }

  /** Whether the network has a net of that name. */
  has(net: NodeName): boolean {
    return this.#analysis.system.has(net);
  }

  /** @throws RangeError for a net that the network does not have. */
  at(hz: number, net: NodeName): ResponsePoint {
    const { system, equations, smallSignal } = this.#analysis;
    const node = system.indexOf(net);
    if (!smallSignal.respond(hz)) throw singularAt(hz);
    const re = node < 0 ? 0 : equations.xRe[node]!;
    const im = node < 0 ? 0 : equations.xIm[node]!;
    return {
      hz,
      decibels: 20 * Math.log10(Math.hypot(re, im)),
      phaseDegrees: (Math.atan2(im, re) * 180) / Math.PI,
    };
  }
}

/** What is said where linearised equations have no solution. */
export function singularAt(hz: number): NetworkError {
  const message = `The circuit has no single response at ${hz} Hz. Undo the last change.`;
  return new NetworkError([{ code: 'singular-block', place: `${hz} Hz`, message }]);
}

/** Frequencies with equal ratio between neighbours, both ends included, Hz. */
export function logarithmicFrequencies(fromHz: number, toHz: number, count: number): number[] {
  return Array.from({ length: count }, (_, index) => fromHz * (toHz / fromHz) ** (index / (count - 1)));
}
