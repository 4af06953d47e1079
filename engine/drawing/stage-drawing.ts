import type { Circuit, Stage } from '../circuits/circuit.ts';
import { circuitNets } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { Direction, GridPoint } from '../circuits/part-spec.ts';
import { type Box, boxAround, moved, pointBox } from './geometry.ts';
import { type PlacedPart, placedPart } from './placed-part.ts';
import { isDrawn } from './symbol-shape.ts';
import { textWidth } from './text-width.ts';
import { type NetToRoute, type RoutedNet, routeNets, WalledInError } from './wire-router.ts';

/** A net's end drawn as a symbol with its name: ground, a supply, the bias, a path to another stage. */
export interface Flag {
  readonly net: string;
  readonly port: string;
  readonly at: GridPoint;
  readonly away: Direction;
  readonly box: Box;
}

/** A stage as it is drawn, in its own coordinates. */
export interface StageDrawing {
  readonly id: string;
  readonly title: string;
  readonly parts: readonly PlacedPart[];
  readonly wires: readonly RoutedNet[];
  readonly flags: readonly Flag[];
  /** Entry and exit of the signal; a supply has neither. */
  readonly input: { readonly net: string; readonly at: GridPoint } | undefined;
  readonly output: { readonly net: string; readonly at: GridPoint } | undefined;
  readonly bounds: Box;
}

/** Size of the letters of a net's name, grid steps. */
export const FLAG_SIZE = 0.95;
/** Clearance around a stage's drawing, grid steps. */
const PADDING = 1;

/** Drawing of every stage of a circuit, from the same description as the network. */
export function circuitDrawing(circuit: Circuit): readonly StageDrawing[] {
  const { netOf } = circuitNets(circuit);
  return circuit.stages.map((described) => stageDrawing(circuit, described, netOf));
}

/** Why a circuit cannot be drawn, in a sentence; undefined if it can. */
export function drawingProblem(circuit: Circuit): string | undefined {
  try {
    for (const bypass of circuit.bypass.kinds) circuitDrawing(fittedCircuit({ circuit, bypass }));
    return undefined;
  } catch (error) {
    if (error instanceof WalledInError) return error.message;
    throw error;
  }
}

function stageDrawing(circuit: Circuit, described: Stage, netOf: ReadonlyMap<string, string>): StageDrawing {
  const parts = Object.entries(described.parts)
    .filter(([, spec]) => isDrawn(spec))
    .map(([ref, spec]) => placedPart(ref, spec));
  const pins = new Map(
    parts.flatMap((part) => part.pins.map((pin) => [`${part.ref}.${pin.name}`, pin] as const)),
  );
  const places = Object.entries(described.ports).flatMap(([port, place]) =>
    place === 'flags'
      ? []
      : [
          {
            port,
            at: [place[0], place[1]] as const,
            away: place[2],
            net: portNet(circuit, described, port, netOf),
          },
        ],
  );
  const wiredNets = new Set(places.map(({ net }) => net));
  const ends = new Map<string, GridPoint[]>();
  const flags: Flag[] = [];
  for (const [name, pin] of pins) {
    const net = netOf.get(name)!;
    const port = flagPort(circuit, described, net, netOf);
    if (port !== undefined && !wiredNets.has(net)) flags.push(portFlag(net, port, pin.at, pin.away));
    else ends.set(net, [...(ends.get(net) ?? []), pin.at]);
  }
  for (const { port, at, away, net } of places) {
    ends.set(net, [...(ends.get(net) ?? []), at]);
    if (away !== undefined) flags.push(portFlag(net, port, at, away));
  }
  const nets: NetToRoute[] = [...ends].map(([name, points]) => ({ name, ends: points }));
  const kept = [
    ...parts.flatMap(({ body, labels }) => [body, ...labels.map(({ box }) => box)]),
    ...flags.map(({ box }) => box),
  ];
  const wires = routeNets(
    nets,
    [...kept, ...signalRooms(places)],
    [...pins.values()].map(({ at }) => at),
  );
  const place = (port: string) => places.find((candidate) => candidate.port === port);
  return {
    id: described.id,
    title: described.title,
    parts,
    wires,
    flags,
    input: place('in'),
    output: place('out'),
    bounds: padded(boxAround([...kept, ...wires.flatMap(({ segments }) => segments.flat().map(pointBox))])),
  };
}

/** Room beside entry and exit for the signal's path to the neighbour, or a flag with its name. */
function signalRooms(
  places: readonly { readonly port: string; readonly net: string; readonly at: GridPoint }[],
): Box[] {
  return places.flatMap(({ port, net, at }) => {
    if (port !== 'in' && port !== 'out') return [];
    return [portFlag(net, port, at, port === 'in' ? 'left' : 'right').box];
  });
}

/** Net of a stage's port: a wire of the stage names a pin or another port on it. */
function portNet(
  circuit: Circuit,
  described: Stage,
  port: string,
  netOf: ReadonlyMap<string, string>,
): string {
  const path = circuit.stages.filter(({ ports }) => 'in' in ports);
  const index = path.indexOf(described);
  const scoped =
    port === 'in' || port === 'out' ? signalPort(index + (port === 'out' ? 1 : 0), path.length) : `:${port}`;
  const net = netOf.get(scoped);
  if (net === undefined) throw new RangeError(`no wire of stage ${described.id} reaches its port "${port}"`);
  return net;
}

const signalPort = (position: number, stages: number): string =>
  position === 0 ? ':in' : position === stages ? ':out' : `:signal ${position}`;

/** The port of this stage whose net is drawn as flags, if any. */
function flagPort(
  circuit: Circuit,
  described: Stage,
  net: string,
  netOf: ReadonlyMap<string, string>,
): string | undefined {
  return Object.entries(described.ports).find(
    ([port, place]) => place === 'flags' && portNet(circuit, described, port, netOf) === net,
  )?.[0];
}

/** A flag with its room: lead, symbol, and name. Ground always points down. */
export function portFlag(net: string, port: string, at: GridPoint, away: Direction): Flag {
  const [x, y] = moved(at, away);
  if (port === 'ground') {
    return { net, port, at, away, box: { left: x - 0.8, right: x + 0.8, top: y - 0.1, bottom: y + 0.9 } };
  }
  const width = FLAG_SIZE * textWidth(net, 600) + 0.5;
  const [halfWidth, halfHeight] = [Math.max(width / 2, 0.7), 0.6];
  const box = {
    up: { left: x - halfWidth, right: x + halfWidth, top: y - 1.3, bottom: y + 0.1 },
    down: { left: x - halfWidth, right: x + halfWidth, top: y - 0.1, bottom: y + 1.4 },
    left: { left: x - width, right: x + 0.1, top: y - halfHeight, bottom: y + halfHeight },
    right: { left: x - 0.1, right: x + width, top: y - halfHeight, bottom: y + halfHeight },
  }[away];
  return { net, port, at, away, box };
}

function padded({ left, top, right, bottom }: Box): Box {
  return { left: left - PADDING, top: top - PADDING, right: right + PADDING, bottom: bottom + PADDING };
}
