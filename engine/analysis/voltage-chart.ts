import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NodalAnalysis } from '../solver/nodal-analysis.ts';
import { findRest } from '../solver/operating-point.ts';

/** What a multimeter reads on a build without a signal. */
export interface VoltageChart {
  /** Voltage of every net that carries current, against ground. */
  readonly nets: readonly { readonly net: string; readonly volts: number }[];
  /** Current that each supply gives, A, by reference designator; below zero if it is fed. */
  readonly supplies: readonly { readonly ref: string; readonly amps: number }[];
}

/** DC voltages and supply currents with the input at 0 V. @throws NetworkError, OperatingPointError. */
export function voltageChart(unpruned: Network): VoltageChart {
  const network = pruneNetwork(unpruned);
  checkNetwork(network);
  const analysis = new NodalAnalysis(network);
  findRest(analysis);
  analysis.linearise();
  const { system, search } = analysis;
  return {
    nets: system.nodeNames.map((net, node) => ({ net, volts: search.volts[node]! })),
    supplies: system.structure.sources.map(({ ref, node }) => {
      // With its plus at ground it gives what flows into the other end.
      const sign = search.volts[node]! < 0 ? -1 : 1;
      return { ref, amps: sign * system.currentFrom(node) };
    }),
  };
}
