import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { type Build, startingBuild } from '../../engine/builds/build.ts';
import { BuildError } from '../../engine/builds/build-error.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { Circuit } from '../../engine/circuits/circuit.ts';
import { parseCircuit } from '../../engine/circuits/circuit-file.ts';
import type { StageDocument, StageGroup } from '../../engine/circuits/stages/stage-document.ts';
import { STAGES } from '../../engine/circuits/stages/stage-library.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { NetworkError } from '../../engine/solver/network-error.ts';
import { OperatingPointError } from '../../engine/solver/operating-point.ts';
import { Drawer, swappedBuild } from '../random-builds/random-build.ts';
import { type RandomTrial, SECONDS, trialDraws } from '../random-builds/random-trial.ts';
import type { TrialInput } from '../reference/trial-input.ts';

/** Fewer stages than this stand before the one that amplifies, and behind it. */
const MOST_AROUND = 4;
/** A list that is no circuit is drawn again: a blend without a stage ahead that gives it the clean signal. */
const MOST_TRIES = 50;
/** Every so many seeds keep what is drawn first. */
const KEPT_EVERY = 25;
/** At one of these a circuit passes more than this: of 0.3 V about 1 mV, below which errors are no longer relative to the output. */
const [HEARD_HZ, LEAST_GAIN_DB] = [[100, 1000, 5000], -50] as const;
/** At the level of a single-coil pickup. */
export const PLUCKED: TrialInput = { kind: 'plucked', place: 0, peakV: 0.3, seconds: SECONDS };

const inGroups = (...groups: readonly StageGroup[]): readonly StageDocument[] =>
  [...STAGES.values()].filter(({ group }) => groups.includes(group));
const SIGNAL = inGroups('buffers', 'boosters', 'clipping', 'tone', 'blend', 'level');
const GAIN = inGroups('boosters', 'clipping');
const LEVEL = inGroups('level');
const SUPPLY = inGroups('supply');
const needs = (stage: StageDocument, port: string) => port in stage.ports;

/** A circuit of stages in any order, with a supply and, where a stage needs one, a bias. */
export function randomCircuit(drawer: Drawer, seed: number): Circuit {
  for (let attempt = 0; attempt < MOST_TRIES; attempt++) {
    const path = randomPath(drawer);
    const supply = drawer.pick(SUPPLY.filter((stage) => !needs(stage, 'bias')));
    const bias = drawer.pick(SUPPLY.filter((stage) => needs(stage, 'bias')));
    const stages = [...path, supply, ...(path.some((stage) => needs(stage, 'bias')) ? [bias] : [])];
    const { circuit } = parseCircuit({
      ...{ format: 'cliplead-circuit', version: 1, id: `random-${seed}`, revision: 1 },
      title: `Random circuit ${seed}`,
      stages: stages.map(({ id }) => ({ stage: id })),
    });
    if (circuit) return circuit;
  }
  throw new RangeError(`no list of stages from seed ${seed} is a circuit`);
}

/** One stage that amplifies or clips, any others around it, and a level knob, without which a list is no circuit. */
function randomPath(drawer: Drawer): StageDocument[] {
  const some = () =>
    Array.from({ length: Math.floor(MOST_AROUND * drawer.draw()) }, () => drawer.pick(SIGNAL));
  return [...some(), drawer.pick(GAIN), ...some(), drawer.pick(LEVEL)];
}

/**
 * A random circuit with random parts, temperature and knobs, and a plucked string. What is refused, or passes next to nothing, is
 * drawn again; every so many seeds keep their first draw, so that refusals are tried too.
 */
export function randomCircuitTrial(seed: number): RandomTrial {
  const drawer = new Drawer(seed);
  const first = drawnTrial(drawer, seed);
  if (seed % KEPT_EVERY === 0) return first;
  let trial = first;
  for (let attempt = 1; attempt < MOST_TRIES && !plays(trial); attempt++) trial = drawnTrial(drawer, seed);
  return trial;
}

function drawnTrial(drawer: Drawer, seed: number): RandomTrial {
  const start: Build = startingBuild(randomCircuit(drawer, seed));
  const build = { ...swappedBuild(start, drawer), title: `Random circuit ${seed}` };
  return { seed, build, temperatureC: trialDraws(seed).temperatureC, input: PLUCKED };
}

/** Whether the engine plays a circuit, and a small signal comes through it. */
function plays({ build, temperatureC }: RandomTrial): boolean {
  try {
    const network = networkOf(build, kelvinOf(temperatureC));
    const response = new FrequencyResponse(network);
    if (!response.has(network.output)) return false;
    return HEARD_HZ.some((hz) => response.at(hz, network.output).decibels > LEAST_GAIN_DB);
  } catch (error) {
    if (error instanceof BuildError || error instanceof NetworkError || error instanceof OperatingPointError)
      return false;
    throw error;
  }
}
