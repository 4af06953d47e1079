import type { Build } from '../builds/build.ts';
import { probedNode } from '../builds/probe-nets.ts';
import { circuitNets } from '../circuits/circuit-nets.ts';
import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import type { SteadySine } from './steady-sine.ts';
import { type SwingLimit, swingLimits } from './swing-limits.ts';

/** A net of the signal path whose level is of interest: what an active part drives, or where a stage ends. */
export interface LevelPoint {
  readonly stageTitle: string;
  readonly net: NodeName;
  /** Undefined where no active part drives the net, so that nothing limits it. */
  readonly limit: SwingLimit | undefined;
}

/** Level of a sine at one point of the signal path. */
export interface Level extends LevelPoint {
  /** Greatest deviation from rest upwards and downwards, V, both positive. */
  readonly upV: number;
  readonly downV: number;
}

/**
 * The points of a build's signal path in the order of its stages: in each what its active parts drive, then its
 * output. @param network The build's. @param hz See swingLimits. @throws NetworkError, OperatingPointError.
 */
export function levelPoints(build: Build, network: Network, hz: number): readonly LevelPoint[] {
  const circuit = build.circuit;
  const { netOf } = circuitNets(circuit);
  const limits = swingLimits(network, hz);
  const seen = new Set<NodeName>();
  return circuit.stages.flatMap(({ title, parts, ports }, index) => {
    if (!('out' in ports)) return [];
    const driven = limits
      .filter(({ origin }) => origin.unit === '' && origin.ref in parts)
      .map(({ net }) => net);
    const next = circuit.stages.slice(index + 1).find((later) => 'in' in later.ports);
    const path = circuit.stages.filter((each) => 'in' in each.ports);
    const port = next ? `:signal ${path.indexOf(next)}` : ':out';
    const end = probedNode(build, network, netOf.get(port) ?? '');
    const nets = [...new Set([...driven, ...(end === undefined ? [] : [end])])].filter(
      (net) => !seen.has(net),
    );
    for (const net of nets) seen.add(net);
    return nets.map((net) => ({ stageTitle: title, net, limit: limits.find((limit) => limit.net === net) }));
  });
}

/** Levels of a steady sine that was recorded at those points, against their voltage at rest. */
export function levelsOf(
  points: readonly LevelPoint[],
  { volts, restV: restOf }: SteadySine,
): readonly Level[] {
  return points.map((point) => {
    const period = volts.get(point.net) ?? new Float64Array(1);
    const restV = restOf.get(point.net) ?? 0;
    const upV = period.reduce((most, v) => Math.max(most, v - restV), 0);
    const downV = period.reduce((most, v) => Math.max(most, restV - v), 0);
    return { ...point, upV, downV };
  });
}
