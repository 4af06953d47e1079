import type { FetData, NodeName, Primitive } from '../network/network.ts';
import type { DiodeEntry } from './catalogue-entry.ts';

/**
 * A string of `count` diodes of a type as primitives: the forward junctions, and beside them what conducts
 * backwards. Alike parts in series carry one current, so the string of two-way parts is exactly two one-way
 * strings side by side.
 */
export function diodePrimitives(
  { data, reverse }: DiodeEntry,
  ref: string,
  count: number,
  nodes: readonly [anode: NodeName, cathode: NodeName],
): Primitive[] {
  const forward: Primitive = { kind: 'diode', ref, nodes, count, data };
  const [anode, cathode] = nodes;
  if (reverse === undefined || anode === cathode) return [forward];
  if (reverse.by === 'breakdown') {
    return [
      forward,
      { kind: 'diode', ref: `${ref} breakdown`, nodes: [cathode, anode], count, data: reverse.data },
    ];
  }
  return [
    forward,
    {
      kind: 'nMosfet',
      ref: `${ref} channel`,
      nodes: [cathode, cathode, anode],
      data: channelsInSeries(reverse.data, count),
    },
  ];
}

/**
 * The one channel that carries what `count` alike ones in series do, each with its gate tied to its drain and
 * so never out of saturation: β·(v/count − V_to)²·(1 + λ·v/count).
 */
function channelsInSeries(channel: FetData, count: number): FetData {
  return {
    ...channel,
    betaAPerV2: channel.betaAPerV2 / count ** 2,
    thresholdV: channel.thresholdV * count,
    lambdaPerV: channel.lambdaPerV / count,
  };
}
