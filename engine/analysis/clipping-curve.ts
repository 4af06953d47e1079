import type { NodeName } from '../devices/node.ts';
import type { SteadySine } from './steady-sine.ts';

/** Output over input of one cycle, in two halves. Where they differ, the circuit has memory. */
export interface ClippingCurve {
  /** Input from its lowest to its highest, V. */
  readonly inputV: Float64Array;
  /** Voltage of the net, relative to its operating point, while the input rises and while it falls, V. */
  readonly risingV: Float64Array;
  readonly fallingV: Float64Array;
}

/**
 * Clipping curve at one of the recorded nets of a steady sine. Both halves have the same inputs, since a period
 * is a multiple of four samples.
 *
 * @throws RangeError for another net.
 */
export function clippingCurve({ inputV, volts, restV }: SteadySine, net: NodeName): ClippingCurve {
  const period = volts.get(net);
  if (!period) throw new RangeError(`the steady sine was not recorded at net "${net}"`);
  const rest = restV.get(net) ?? 0;
  const { length } = period;
  const count = length / 2 + 1;
  const at = (signal: Float64Array, n: number) => signal[(n + length) % length]!;
  const half = (index: (n: number) => number, signal: Float64Array, offset: number) =>
    Float64Array.from({ length: count }, (_, n) => at(signal, index(n)) - offset);
  const rising = (n: number) => n - length / 4;
  const falling = (n: number) => (3 * length) / 4 - n;
  return {
    inputV: half(rising, inputV, 0),
    risingV: half(rising, period, rest),
    fallingV: half(falling, period, rest),
  };
}
