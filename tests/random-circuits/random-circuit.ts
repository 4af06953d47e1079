import { type Build, startingBuild } from '../../engine/builds/build.ts';
import type { Circuit } from '../../engine/circuits/circuit.ts';
import { parseCircuit } from '../../engine/circuits/circuit-file.ts';
import type { StageDocument, StageGroup } from '../../engine/circuits/stages/stage-document.ts';
import { STAGES } from '../../engine/circuits/stages/stage-library.ts';
import { Drawer, swappedBuild } from '../random-builds/random-build.ts';
import { type RandomTrial, SECONDS, trialDraws } from '../random-builds/random-trial.ts';
import type { TrialInput } from '../reference/trial-input.ts';

/** Fewer stages than this stand before the one that amplifies, and behind it. */
const MOST_AROUND = 4;
/** A list that is no circuit is drawn again: a blend without a stage ahead that gives it the clean signal. */
const MOST_TRIES = 50;
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

/** A random circuit with random parts, temperature and knobs, and a plucked string. */
export function randomCircuitTrial(seed: number): RandomTrial {
  const drawer = new Drawer(seed);
  const start: Build = startingBuild(randomCircuit(drawer, seed));
  const build = { ...swappedBuild(start, drawer), title: `Random circuit ${seed}` };
  return { seed, build, temperatureC: trialDraws(seed).temperatureC, input: PLUCKED };
}
