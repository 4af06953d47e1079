import { GROUND, type NodeName } from '../devices/node.ts';
import { ofPart, ofPiece } from '../devices/origin.ts';
import type { Network, Resistor } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { checkNetwork } from '../solver/network-check.ts';
import { type OperatingPoint, operatingPoint } from '../solver/operating-point.ts';

/** A meter that is not connected: a leak that moves no net, ohms. */
const UNCONNECTED_OHMS = 1e15;
const METER = ofPart('meter');
/** Below this the share that a meter takes is not known, V. */
export const LEAST_SHARE_V = 0.01;

/** A node behind the resistance of a part, "Q1 base", which no meter reaches; names of nets have small letters. */
const INSIDE_A_PART = /(^|:)[A-Z]+[0-9]+[A-Z]? /;

/** DC voltage of a net. */
export interface NetReading {
  readonly net: NodeName;
  /** Without a meter, V against ground. */
  readonly volts: number;
  /** What the meter shows, V: its own resistance pulls the net towards ground. */
  readonly readsV: number;
}

/** Whether somebody with a meter can touch a node. */
export function isReachable(node: NodeName): boolean {
  return !INSIDE_A_PART.test(node);
}

/**
 * What a multimeter shows at each net, with its black lead at ground: the circuit is solved anew with the meter at that net, as a
 * bias of large resistors would read too low otherwise.
 *
 * @param meterOhms Its input resistance; Infinity for one that loads nothing. @throws NetworkError, OperatingPointError.
 */
export function meterReadings(unpruned: Network, meterOhms: number): readonly NetReading[] {
  const network = pruneNetwork(unpruned);
  checkNetwork(network);
  const nets = nodesOf(network).filter(isReachable);
  const unloaded = operatingPoint(withMeter(network, nets, undefined, meterOhms));
  return nets.map((net) => ({
    net,
    volts: unloaded.volts.get(net)!,
    readsV: Number.isFinite(meterOhms)
      ? loadedVolts(withMeter(network, nets, net, meterOhms), net, unloaded)
      : unloaded.volts.get(net)!,
  }));
}

/**
 * Readings as they would be without the meter: it takes the same share of each net as on a sound board.
 *
 * @param readings V, by net. @param volts,readsV Of the sound board, without and with the meter, V.
 */
export function withoutMeter(
  readings: ReadonlyMap<NodeName, number>,
  volts: ReadonlyMap<NodeName, number>,
  readsV: ReadonlyMap<NodeName, number>,
): ReadonlyMap<NodeName, number> {
  return new Map(
    [...readings].flatMap(([net, read]) => {
      const [sound, loaded] = [volts.get(net), readsV.get(net)];
      if (sound === undefined || loaded === undefined) return [];
      return [[net, Math.abs(loaded) < LEAST_SHARE_V ? read : (read * sound) / loaded] as const];
    }),
  );
}

/** The same for a network. @throws NetworkError, OperatingPointError. */
export function unloadedReadings(
  network: Network,
  readings: ReadonlyMap<NodeName, number>,
  meterOhms: number,
): ReadonlyMap<NodeName, number> {
  const sound = meterReadings(network, meterOhms);
  return withoutMeter(
    readings,
    new Map(sound.map(({ net, volts }) => [net, volts])),
    new Map(sound.map(({ net, readsV }) => [net, readsV])),
  );
}

function loadedVolts(network: Network, net: NodeName, near: OperatingPoint): number {
  return operatingPoint(network, near).volts.get(net)!;
}

/** A meter at every net, so that all readings share one structure; only that at `connected` loads it. */
function withMeter(
  network: Network,
  nets: readonly NodeName[],
  connected: NodeName | undefined,
  meterOhms: number,
): Network {
  const meters = nets.map(
    (net): Resistor => ({
      kind: 'resistor',
      ...ofPiece(METER, net),
      nodes: [net, GROUND],
      ohms: net === connected ? meterOhms : UNCONNECTED_OHMS,
    }),
  );
  return { ...network, primitives: [...network.primitives, ...meters] };
}

/** Every node but ground, in the order in which the parts name them, with the input first. */
function nodesOf({ input, output, primitives }: Network): readonly NodeName[] {
  const nodes = new Set<NodeName>([input]);
  for (const { nodes: own } of primitives) for (const node of own) nodes.add(node);
  nodes.add(output);
  nodes.delete(GROUND);
  return [...nodes];
}
