import type { Circuit } from '../circuits/circuit.ts';
import { partsOf } from '../circuits/circuit.ts';
import { circuitNets } from '../circuits/circuit-nets.ts';
import type { PartFigure } from '../circuits/part-figure.ts';
import { pinsOf } from '../circuits/part-spec.ts';
import { Refusal } from '../input/refusal.ts';
import type { OperatingPoint } from '../solver/operating-point.ts';
import type { Build } from './build.ts';
import { FigureNetwork } from './figure-network.ts';

/** Networks that are kept, of the builds asked for last: two slots, before and after a swap, knobs at two ends. */
const MOST_KEPT = 16;

/** By circuit, and by all that decides the network; undefined where it cannot be solved. Oldest first. */
const kept = new WeakMap<Circuit, Map<string, FigureNetwork | undefined>>();
/** The operating point found last, by circuit. */
const lastRest = new WeakMap<Circuit, OperatingPoint>();

/** Whether the network shows a figure, by what the circuit says of it. */
export function isOfNetwork(figure: PartFigure): boolean {
  switch (figure.formula) {
    case 'divided supply':
    case 'follower current':
    case 'voltage at rest':
      return true;
    case 'forward voltage':
      return false;
    case 'parallel resistance':
      return figure.seenAt !== undefined;
    default:
      return figure.transfer !== undefined;
  }
}

/**
 * A figure from the whole network of a build, in the figure's unit; undefined where `isOfNetwork` says no, not a number
 * where the network has no solution or the figure does not exist in it.
 */
export function networkFigure(build: Build, figure: PartFigure, temperatureK: number): number | undefined {
  if (!isOfNetwork(figure)) return undefined;
  const network = networkFor(withKnobs(build, figure), temperatureK);
  return network ? read(network, build.circuit, figure) : Number.NaN;
}

function read(network: FigureNetwork, circuit: Circuit, figure: PartFigure): number | undefined {
  switch (figure.formula) {
    case 'divided supply':
      return network.volts(...dividedAt(circuit, figure.upper, figure.lower));
    case 'follower current':
      return network.amps(figure.emitter);
    case 'voltage at rest':
      return network.voltsAt(figure.net);
    case 'parallel resistance':
      return network.ohmsAt(figure.seenAt!, stageOfPin(circuit, figure.seenAt!));
    case 'corner':
      return network.cornerHz(figure.transfer!, figure.capacitors);
    case 'forward voltage':
      return undefined;
    default:
      return network.gainDb(figure.transfer!);
  }
}

/** The parts of the stage that a pin belongs to; none where a net is given by its name. */
function stageOfPin(circuit: Circuit, pin: string): readonly string[] {
  return Object.keys(partsOf(circuit).get(pin.split('.')[0]!)?.stage.parts ?? {});
}

/** The pin at the middle of a divider, and the other end of its lower part. */
function dividedAt(circuit: Circuit, upper: string, lower: string): [string, string] {
  const { netOf } = circuitNets(circuit);
  const parts = new Map(partsOf(circuit));
  const pins = (ref: string) => pinsOf(parts.get(ref)!.part).map((pin) => `${ref}.${pin}`);
  const above = pins(upper).map((pin) => netOf.get(pin));
  const own = pins(lower);
  const middle = own.find((pin) => above.includes(netOf.get(pin))) ?? own[0]!;
  return [middle, own.find((pin) => netOf.get(pin) !== netOf.get(middle)) ?? middle];
}

function withKnobs(build: Build, figure: PartFigure): Build {
  const knobs = 'transfer' in figure ? figure.transfer?.knobs : undefined;
  return knobs ? { ...build, knobs: { ...build.knobs, ...knobs } } : build;
}

/** The network of a build, from those kept if it is there. */
function networkFor(build: Build, temperatureK: number): FigureNetwork | undefined {
  const { circuit, parts, knobs, switches, bypass } = build;
  const networks = kept.get(circuit) ?? new Map<string, FigureNetwork | undefined>();
  kept.set(circuit, networks);
  const key = JSON.stringify([temperatureK, parts, knobs, switches, bypass]);
  const network = networks.has(key) ? networks.get(key) : solved(build, temperatureK);
  networks.delete(key);
  networks.set(key, network);
  if (networks.size > MOST_KEPT) networks.delete([...networks.keys()][0]!);
  return network;
}

function solved(build: Build, temperatureK: number): FigureNetwork | undefined {
  try {
    const network = new FigureNetwork(build, temperatureK, lastRest.get(build.circuit));
    lastRest.set(build.circuit, network.rest);
    return network;
  } catch (thrown) {
    if (thrown instanceof Refusal) return undefined;
    throw thrown;
  }
}
