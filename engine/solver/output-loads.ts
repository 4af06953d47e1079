import { diodeDataMoved } from '../devices/diode.ts';
import type { OutputUnderLoad } from '../devices/opamp-data.ts';
import { partName } from '../devices/origin.ts';
import { kelvinOf, TEMPERATURE_RANGE_C } from '../network/temperature.ts';
import { STEP_FORMULAS } from './backward-difference.ts';
import type { LoadKnowledge } from './compiled-circuit.ts';
import {
  type Assumption,
  DrivenCircuit,
  type DrivenLoad,
  isOpamp,
  type LoadedNetwork,
} from './driven-circuit.ts';
import { extremeTurns, turnedElements } from './knob-ends.ts';
import { type OutputReach, outputReach } from './loud-signal.ts';
import { parametersOf } from './parameters.ts';
import type { Element } from './partition.ts';

export interface OutputLoad {
  readonly knowledge: LoadKnowledge;
  /** G: conductance of the load for changes within a step, S. */
  readonly siemens: number;
  /** Parts between the output and what is not solved with it. */
  readonly elements: readonly Element[];
}

/** A capacitor at this rate is a short circuit, 1/s. */
const SHORT_RATE = 1e12;
/** Lowest and usual rate of a step, 1/s. */
const SLOWEST = STEP_FORMULAS.third.rate * 4 * 48_000;
const USUAL = STEP_FORMULAS.third.rate * 16 * 48_000;
/** The usual load, the most that it can be within a step, the least, and the least if other op-amps clip. */
const USUALLY: Assumption = { rate: USUAL, diodesConduct: false, inputsHeld: true };
const MOST: Assumption = { rate: SHORT_RATE, diodesConduct: true, inputsHeld: true };
const LEAST: Assumption = { rate: SLOWEST, diodesConduct: false, inputsHeld: true };
const CLIPPED: Assumption = { rate: SLOWEST, diodesConduct: false, inputsHeld: false };
/** Share of an output's limits that a load may take in whatever way it does. */
const LIGHT_LOAD = 0.02;
/**
 * Shares of the limits that may follow capacitors and diodes, and other op-amps while they clip, by extrapolation. With the
 * straight line that is used it is stable up to a third.
 */
const [MOST_LATE, MOST_LATE_CLIPPED] = [0.05, 0.2] as const;
/** A signal that stays this far from a limit does not reach it, V, and does not turn an output round. */
const [MARGIN_V, TURN_MARGIN_V] = [0.2, 0.3] as const;
/**
 * Behind or before transistors that amplify an output may go further than estimated: they clip one half wave harder than the other, and a
 * coupling capacitor then shifts what is left.
 */
const TRANSISTOR_FACTOR = 2;

/**
 * The loads of a network's op-amps, in their order. Of the positions of knobs only `siemens` depends, so that turning one
 * compiles nothing.
 */
export function outputLoads(network: LoadedNetwork): OutputLoad[] {
  const { elements } = network;
  const opamps = elements.filter(isOpamp);
  if (!opamps.some(({ primitive }) => primitive.data.underLoad)) return opamps.map(() => UNLOADED);
  const circuit = new DrivenCircuit(network);
  const known = knowledgeOf(network);
  return opamps.map(({ primitive }, index) => {
    if (!primitive.data.underLoad) return UNLOADED;
    const load = circuit.loadOf(index);
    const { knowledge, swingV } = known[index]!;
    return { knowledge, siemens: load.conductance(USUALLY, swingV), elements: load.elements };
  });
}

const UNLOADED: OutputLoad = { knowledge: 'none', siemens: 0, elements: [] };

interface Knowledge {
  readonly knowledge: LoadKnowledge;
  /** What the output can move from where it rests, V. */
  readonly swingV: number;
}

/** By everything about a network but the positions of its knobs, since these are turned often. */
const found = new Map<string, readonly Knowledge[]>();
const MOST_FOUND = 100;

function knowledgeOf(network: LoadedNetwork): readonly Knowledge[] {
  const key = wordsOf(network);
  const before = found.get(key);
  if (before) return before;
  if (found.size >= MOST_FOUND) found.clear();
  const made = findKnowledge(network);
  found.set(key, made);
  return made;
}

function wordsOf({ elements, inputIndex, rails, temperatureK, tracks }: LoadedNetwork): string {
  const parts = elements.map(({ primitive, nodes }) => {
    const isTrack = primitive.kind === 'resistor' && primitive.isTrack;
    const numbers = isTrack ? partName(primitive.origin) : parametersOf(primitive, temperatureK).join();
    return `${primitive.kind} ${nodes.join()} ${numbers}`;
  });
  const totals = [...tracks].map(([part, { ohms }]) => `${part} ${ohms.toPrecision(9)}`);
  return [inputIndex, rails.join(), temperatureK, ...totals, ...parts].join(';');
}

/**
 * Judged as at the lowest temperature, where diodes have the highest voltages and outputs reach farthest: another decision at
 * another temperature would be another structure, to which a temperature cannot glide.
 */
function findKnowledge(present: LoadedNetwork): readonly Knowledge[] {
  const network = coldest(present);
  const { elements, inputIndex, rails, temperatureK, tracks } = network;
  const circuit = new DrivenCircuit(network);
  const opamps = elements.filter(isOpamp);
  const mostV = opamps.map((_, index) => circuit.mostAt(index));
  const positions = extremeTurns(tracks).map((turns) => turnedElements(elements, tracks, turns));
  const reaches = positions.map((turned) => outputReach(turned, inputIndex, rails, temperatureK, mostV));
  // Where an output turns round, outputs jump to their limits, and what follows them cannot be extrapolated.
  const jumps = reaches.some((reached) => reached.some(({ untilTurnV }) => !(untilTurnV > TURN_MARGIN_V)));
  const factor = circuit.hasAmplifyingTransistor() ? TRANSISTOR_FACTOR : 1;
  const ends = positions.map((turned) => new DrivenCircuit({ ...network, elements: turned }));
  return opamps.map(({ primitive }, index) => {
    const { underLoad } = primitive.data;
    const reach = furtherBy(factor, worstOf(reaches.map((reached) => reached[index]!)), mostV[index]!);
    const loads = ends.map((end) => end.loadOf(index));
    return {
      swingV: reach.swingV,
      knowledge: underLoad ? (jumps ? 'solved' : known(underLoad, loads, reach)) : 'none',
    };
  });
}

function coldest(network: LoadedNetwork): LoadedNetwork {
  const temperatureK = kelvinOf(TEMPERATURE_RANGE_C.lowest);
  const elements = network.elements.map((element): Element => {
    const { primitive } = element;
    if (primitive.kind !== 'diode') return element;
    const data = diodeDataMoved(primitive.data, network.temperatureK, temperatureK);
    return { ...element, primitive: { ...primitive, data } };
  });
  return { ...network, elements, temperatureK };
}

type Reach = Omit<OutputReach, 'untilTurnV'>;

function worstOf(reaches: readonly OutputReach[]): Reach {
  const isFound = reaches.every(({ swingV }) => Number.isFinite(swingV));
  return {
    reachedV: isFound ? Math.max(...reaches.map(({ reachedV }) => reachedV)) : Number.POSITIVE_INFINITY,
    reachedA: Math.max(...reaches.map(({ reachedA }) => reachedA)),
    takenV: Math.max(...reaches.map(({ takenV }) => takenV)),
    swingV: Math.min(...reaches.map(({ swingV }) => swingV)),
  };
}

function furtherBy(factor: number, { reachedV, reachedA, takenV, swingV }: Reach, mostV: number): Reach {
  const further = Math.min(mostV, factor * reachedV);
  return { reachedV: further, reachedA: factor * reachedA, takenV: factor * takenV, swingV };
}

/** @param loads With the knobs at their ends. */
function known(
  { saturationOhms, sourceLimitA, sinkLimitA }: OutputUnderLoad,
  loads: readonly DrivenLoad[],
  reach: Reach,
): LoadKnowledge {
  const { reachedV, reachedA, swingV } = reach;
  const ranges = loads.map((load) => ({
    most: load.conductance(MOST, swingV),
    least: load.conductance(LEAST, swingV),
    clipped: load.conductance(CLIPPED, swingV),
  }));
  const most = Math.max(...ranges.map((range) => range.most));
  // What is driven may draw all that it can at an edge; of the output's own feedback the tones tell enough.
  const takenV = Math.max(saturationOhms * reachedV * most, reach.takenV);
  const amps = Math.max(reachedV * most, reachedA);
  const isBelowLimits = reachedV + takenV + MARGIN_V < swingV;
  if (isBelowLimits && 2 * amps < Math.min(sourceLimitA, sinkLimitA)) return 'none';
  if (saturationOhms * most < LIGHT_LOAD) return 'predicted';
  const late = (range: (typeof ranges)[number], least: number) =>
    (saturationOhms * (range.most - least)) / (1 + saturationOhms * range.most);
  const isEven = ranges.every(
    (range) => late(range, range.least) < MOST_LATE && late(range, range.clipped) < MOST_LATE_CLIPPED,
  );
  return isEven ? 'predicted' : 'solved';
}
