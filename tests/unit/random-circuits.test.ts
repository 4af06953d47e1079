import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { netlistOf } from '../../engine/network/netlist.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { measureTrial, trialDraws } from '../random-builds/random-trial.ts';
import { PLUCKED, randomCircuitTrial } from '../random-circuits/random-circuit.ts';
import { hasNetlistSolver, NetlistSolver } from '../reference/netlist-solver.ts';
import { referenceAnswer, solverErrorDb } from '../reference/solver-trial.ts';

const SEEDS = [1, 2, 3, 4, 5, 6];
/** A seed whose first draw is kept and refused. */
const STARVED = 300;
/** Circuits that erred most, and 3 dB above what they err by at 16x now. */
const MENDED = [
  [13, -111],
  [43, -125],
  [94, -80],
  [109, -101],
  [131, -72],
  [157, -137],
  [262, -92],
  [316, -101],
  [467, -67],
] as const;

describe('circuits drawn from stages and parts', () => {
  it('are the same for the same seed, and of several lengths', () => {
    expect(randomCircuitTrial(7)).toEqual(randomCircuitTrial(7));
    const lengths = Array.from(
      { length: 30 },
      (_, seed) => randomCircuitTrial(seed).build.circuit.stages.length,
    );
    expect(new Set(lengths).size).toBeGreaterThan(4);
  });

  it.skipIf(!hasNetlistSolver())('give the output of the netlist solver for a plucked string', () => {
    const outcomes = SEEDS.map((seed) => measureTrial(randomCircuitTrial(seed)));
    const measured = outcomes.flatMap((outcome) => (outcome.kind === 'measured' ? [outcome] : []));
    // What is refused or passes nothing is drawn again.
    expect(measured.length).toBe(SEEDS.length);
    // The aim for 99 % of random builds at 16x is -60 dB.
    for (const { seed, errorsDb } of measured) expect(errorsDb[1], `seed ${seed}`).toBeLessThan(-60);
  });

  it.skipIf(!hasNetlistSolver())(
    'are refused where the netlist solver too finds an op-amp with too little supply',
    () => {
      const trial = randomCircuitTrial(STARVED);
      const refused = measureTrial(trial);
      expect(refused).toMatchObject({ kind: 'refused', why: expect.stringMatching(/^U2A is starved/) });
      const needed = Number(/it needs (\S+) V/.exec('why' in refused ? refused.why : '')![1]);
      const network = pruneNetwork(networkOf(trial.build, kelvinOf(trial.temperatureC)));
      const { nodes } = network.primitives.find(({ kind, ref }) => kind === 'opamp' && ref === 'U2A')!;
      const solver = new NetlistSolver(netlistOf(network));
      const [positiveV, negativeV] = [nodes[3]!, nodes[4]!].map((net) => solver.rest()[net] ?? 0);
      solver.close();
      expect(positiveV! - negativeV!).toBeLessThan(needed);
    },
  );

  it.skipIf(!hasNetlistSolver()).each(MENDED)(
    'give it where they erred most: seed %i, at most %i dB',
    (seed, mostDb) => {
      // From the file: with another list of stages the seed draws another circuit.
      const file = new URL(`../random-circuits/worst/seed-${seed}.json`, import.meta.url);
      const build = parseBuildFile(readFileSync(file, 'utf8'));
      const network = networkOf(build, kelvinOf(trialDraws(seed).temperatureC));
      const { errorDb, failures } = solverErrorDb(network, PLUCKED, 16, referenceAnswer(network, PLUCKED));
      expect(failures).toBe(0);
      expect(errorDb).toBeLessThan(mostDb);
    },
    30_000,
  );
});
