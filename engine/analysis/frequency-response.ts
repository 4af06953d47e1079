import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { solveComplex } from '../solver/dense-linear.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NodalSystem } from '../solver/nodal-system.ts';
import { type OperatingPoint, operatingPoint } from '../solver/operating-point.ts';

/** Gain from the input to one net at one frequency. */
export interface ResponsePoint {
  readonly hz: number;
  readonly decibels: number;
  /** −180 to 180. */
  readonly phaseDegrees: number;
}

/**
 * Small-signal response of a network: its nodal equations linearised at rest, (∂F/∂v + jω·C)·v = 0 with
 * 1 V at the input. One factorisation serves all frequencies' setup; each frequency is one complex solution.
 */
export class FrequencyResponse {
  readonly #system: NodalSystem;
  readonly #input: number;
  readonly #re: Float64Array;
  readonly #im: Float64Array;
  readonly #bRe: Float64Array;
  readonly #bIm: Float64Array;

  /** @throws NetworkError, OperatingPointError. */
  constructor(unpruned: Network, rest?: OperatingPoint) {
    const network = pruneNetwork(unpruned);
    checkNetwork(network);
    const system = new NodalSystem(network);
    const { volts } = rest ?? operatingPoint(network);
    const v = Float64Array.from(system.nodeNames, (name) => volts.get(name) ?? 0);
    system.evaluate(v, 0);
    this.#system = system;
    this.#input = system.indexOf(network.input);
    this.#re = new Float64Array(system.size * system.size);
    this.#im = new Float64Array(system.size * system.size);
    this.#bRe = new Float64Array(system.size);
    this.#bIm = new Float64Array(system.size);
  }

  /** Whether the network has a net of that name. */
  has(net: NodeName): boolean {
    return this.#system.has(net);
  }

  /** @throws RangeError for a net that the network does not have. */
  at(hz: number, net: NodeName): ResponsePoint {
    const { size } = this.#system;
    const node = this.#system.indexOf(net);
    fillSmallSignalMatrix(this.#system, hz, this.#re, this.#im);
    this.#bRe.fill(0);
    this.#bIm.fill(0);
    this.#bRe[this.#input] = 1;
    solveComplex(this.#re, this.#im, size, this.#bRe, this.#bIm);
    const re = node < 0 ? 0 : this.#bRe[node]!;
    const im = node < 0 ? 0 : this.#bIm[node]!;
    return {
      hz,
      decibels: 20 * Math.log10(Math.hypot(re, im)),
      phaseDegrees: (Math.atan2(im, re) * 180) / Math.PI,
    };
  }
}

/**
 * ∂F/∂v + jω·C of a system that was evaluated at its rest state, inductors with their susceptance −1/ωL.
 *
 * @param re,im Outputs, size², row-major. Overwritten.
 */
export function fillSmallSignalMatrix(
  system: NodalSystem,
  hz: number,
  re: Float64Array,
  im: Float64Array,
): void {
  const omega = 2 * Math.PI * hz;
  const { jacobian, capacitance, inductors } = system;
  re.set(jacobian);
  for (let index = 0; index < capacitance.length; index++) im[index] = omega * capacitance[index]!;
  for (const { a, b, henries } of inductors) {
    addSusceptance(system, im, [a, b], -1 / (omega * henries));
    addSusceptance(system, im, [b, a], -1 / (omega * henries));
  }
}

function addSusceptance(
  system: NodalSystem,
  im: Float64Array,
  [row, other]: readonly [number, number],
  siemens: number,
): void {
  if (!system.isCurrentLaw(row)) return;
  im[row * system.size + row]! += siemens;
  if (other >= 0) im[row * system.size + other]! -= siemens;
}

/** Frequencies with equal ratio between neighbours, both ends included, Hz. */
export function logarithmicFrequencies(fromHz: number, toHz: number, count: number): number[] {
  return Array.from({ length: count }, (_, index) => fromHz * (toHz / fromHz) ** (index / (count - 1)));
}
