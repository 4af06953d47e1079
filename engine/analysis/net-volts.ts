import type { Build } from '../builds/build.ts';
import type { ChainPlace } from '../builds/chain.ts';
import { netsByStage, probedNode } from '../builds/probe-nets.ts';
import type { FootswitchPosition } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { Network } from '../network/network.ts';
import { voltageChart } from './voltage-chart.ts';

/** DC voltage against ground of each net of a circuit, by its name; nets that carry no current have none. */
export type NetVolts = Readonly<Record<string, number>>;

/**
 * Voltages of a build at rest, with the input at 0 V.
 *
 * @param network The build's, in the position of its footswitch, or that of its chain.
 * @param place Position of the footswitch; for a pedal of a chain, its place there. @throws NetworkError, OperatingPointError.
 */
export function netVolts(build: Build, network: Network, place: FootswitchPosition | ChainPlace): NetVolts {
  const volts = new Map(voltageChart(network).nets.map((each) => [each.net, each.volts]));
  const nets = netsByStage(fittedCircuit(build)).flatMap((group) => group.nets);
  return Object.fromEntries(
    nets.flatMap((net) => {
      const node = probedNode(build, network, net, place);
      const found = node === undefined ? undefined : volts.get(node);
      return found === undefined ? [] : [[net, found]];
    }),
  );
}

/** As a multimeter of 3½ digits shows it, in ranges of 0.2, 2, 20 and 200 V; common practice, no source. */
export function meterText(volts: number): string {
  const size = Math.abs(volts);
  const sign = volts < 0 ? '−' : '';
  if (size < 0.0005) return '0 V';
  if (size < 0.1995) return `${sign}${(1000 * size).toFixed(0)} mV`;
  return `${sign}${size.toFixed(size < 1.9995 ? 3 : size < 19.995 ? 2 : 1)} V`;
}
