import type { Build } from '../builds/build.ts';
import { type Chain, type ChainPlace, placeIn, unitAt } from '../builds/chain.ts';
import { probedNode } from '../builds/probe-nets.ts';
import { circuitNets, INPUT_NET } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import type { SteadySine } from './steady-sine.ts';
import { type SwingLimit, swingLimits } from './swing-limits.ts';

/** A net of the signal path in the level map: driven by an active part, or the output of a stage. */
export interface LevelPoint {
  readonly stageTitle: string;
  readonly net: NodeName;
  /** Undefined if no active part drives the net. */
  readonly limit: SwingLimit | undefined;
}

/** Level of a sine at one point of the signal path. */
export interface Level extends LevelPoint {
  /** Largest deviation upwards and downwards from the operating point, V, both positive. */
  readonly upV: number;
  readonly downV: number;
}

/**
 * The points along the signal path of a chain: of each pedal that is on, in the order of its stages, the nets that active parts
 * of a stage drive, then its output.
 *
 * @param network That of the chain, with or without what is around it. @param hz See swingLimits.
 * @throws NetworkError, OperatingPointError.
 */
export function levelPoints(chain: Chain, network: Network, hz: number): readonly LevelPoint[] {
  const pedals = chain.pedals.map(({ build }, position) => ({ build, place: placeIn(chain, position) }));
  const on = pedals.filter(({ place }) => place.isOn);
  if (on.length === 0) return [];
  const limits = swingLimits(network, hz);
  return on.flatMap(({ build, place }) => pedalPoints(build, network, limits, place));
}

function pedalPoints(
  build: Build,
  network: Network,
  limits: readonly SwingLimit[],
  place: ChainPlace,
): readonly LevelPoint[] {
  const circuit = fittedCircuit(build);
  const { netOf } = circuitNets(circuit);
  const unit = unitAt(place);
  const input = probedNode(build, network, INPUT_NET, place);
  const seen = new Set<NodeName>();
  return circuit.stages.flatMap(({ title, parts, ports }, index) => {
    if (!('out' in ports)) return [];
    const driven = limits
      .filter(({ origin }) => origin.unit === unit && origin.ref in parts)
      .map(({ net }) => net);
    const next = circuit.stages.slice(index + 1).find((later) => 'in' in later.ports);
    const path = circuit.stages.filter((each) => 'in' in each.ports);
    const port = next ? `:signal ${path.indexOf(next)}` : ':out';
    const end = probedNode(build, network, netOf.get(port) ?? '', place);
    // The footswitch ahead of the circuit passes the input on.
    const ends = end === undefined || end === input ? [] : [end];
    const nets = [...new Set([...driven, ...ends])].filter((net) => !seen.has(net));
    for (const net of nets) seen.add(net);
    return nets.map((net) => ({ stageTitle: title, net, limit: limits.find((limit) => limit.net === net) }));
  });
}

/** Levels of a steady sine recorded at those points, relative to their voltage at the operating point. */
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
