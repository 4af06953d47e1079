import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { NodalSystem } from '../solver/nodal-system.ts';
import { operatingPoint } from '../solver/operating-point.ts';

/** What a multimeter reads on a build at rest. */
export interface VoltageChart {
  /** Every net that carries current, against ground. */
  readonly nets: readonly { readonly net: string; readonly volts: number }[];
  /** Current out of each supply, A, by reference designator. */
  readonly supplies: readonly { readonly ref: string; readonly amps: number }[];
}

/** DC voltages and supply currents with the input at 0 V. @throws NetworkError, OperatingPointError. */
export function voltageChart(unpruned: Network): VoltageChart {
  const network = pruneNetwork(unpruned);
  checkNetwork(network);
  const { volts, inductorA } = operatingPoint(network);
  const system = new NodalSystem(network);
  const v = Float64Array.from(system.nodeNames, (name) => volts.get(name) ?? 0);
  system.inductors.forEach(({ ref }, index) => {
    system.inductorA[index] = inductorA.get(ref) ?? 0;
  });
  return {
    nets: system.nodeNames.map((net) => ({ net, volts: volts.get(net) ?? 0 })),
    supplies: network.primitives
      .filter(({ kind }) => kind === 'voltageSource')
      .map(({ ref }) => ({ ref, amps: system.supplyCurrentA(v, ref) })),
  };
}
