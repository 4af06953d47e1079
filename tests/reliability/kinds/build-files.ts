import { parseBuildFile, serialiseBuild } from '../../../engine/builds/build-file.ts';
import { networkOf } from '../../../engine/builds/network-of-build.ts';
import { presetNames, presetText } from '../../../engine/cli/preset-files.ts';
import { NOMINAL_TEMPERATURE_K } from '../../../engine/devices/physics.ts';
import { isRecord } from '../../../engine/input/json.ts';
import { Refusal } from '../../../engine/input/refusal.ts';
import { pruneNetwork } from '../../../engine/network/prune.ts';
import { checkNetwork } from '../../../engine/solver/network-check.ts';
import { operatingPoint } from '../../../engine/solver/operating-point.ts';
import { cpuSeconds } from '../cpu-time.ts';
import { Dice } from '../dice.ts';
import { damagedText, hostileText } from '../hostile-texts.ts';
import type { Kind, Verdict } from '../kind.ts';
import { refusalFault } from '../refusal.ts';

/**
 * Build files that were damaged, or written to break the bench: each must be accepted and solved, or refused in a
 * sentence.
 */
export const kind: Kind = {
  name: 'mutated build files',
  figure: { name: 'slowest', unit: 's of processor time', most: 2 },
  attempt: (seed) => tryBuildText(hostileBuildText(seed)),
};

/** The steps of the page with a file: read it, make a network of it, find its operating point. */
export function tryBuildText(text: string): Verdict {
  const { result: fault, seconds } = cpuSeconds(() => {
    try {
      const build = parseBuildFile(text);
      if (serialiseBuild(parseBuildFile(serialiseBuild(build))) !== serialiseBuild(build))
        return 'it reads back differently';
      const network = pruneNetwork(networkOf(build, NOMINAL_TEMPERATURE_K));
      checkNetwork(network);
      operatingPoint(network);
      return undefined;
    } catch (error) {
      if (error instanceof Refusal) return refusalFault(error.message);
      throw error;
    }
  });
  return { fault, figure: seconds };
}

/** A build file from a seed: a preset's, with damaged text or replaced data. */
export function hostileBuildText(seed: number): string {
  const dice = new Dice(seed);
  const text = presetText(dice.pick(presetNames()))!;
  const way = dice.draw();
  if (way < 0.3) return damagedText(dice, text);
  if (way < 0.36) return dice.pick(EXTREMES)(dice);
  const file = JSON.parse(text) as Record<string, unknown>;
  for (let count = dice.few(6); count > 0; count--) replaceSomewhere(dice, file);
  return JSON.stringify(file);
}

const EXTREMES: readonly ((dice: Dice) => string)[] = [
  (dice) => '['.repeat(dice.few(200_000)),
  (dice) => `${'{"parts":'.repeat(dice.few(20_000))}1`,
  (dice) => {
    const depth = dice.few(20_000);
    const nested = '['.repeat(depth) + ']'.repeat(depth);
    return `{"format":"cliplead-build","version":1,"circuit":"soft-clip","parts":${nested}}`;
  },
  (dice) => `{"notes":"${'x'.repeat(dice.few(3_000_000))}"}`,
  (dice) => {
    const keys = Array.from({ length: dice.few(20_000) }, (_, index) => `"K${index}":"1k"`);
    return `{"format":"cliplead-build","version":1,"circuit":"soft-clip","parts":{${keys.join()}}}`;
  },
  (dice) => hostileText(dice),
];

const VALUES: readonly unknown[] = [null, true, 0, -1, 1e308, 1.5, [], {}, [[]], { value: null }, ['4k7']];

/** Replaces one place of the data: by a value, a key, or an object where a text belongs. */
function replaceSomewhere(dice: Dice, file: Record<string, unknown>): void {
  const records = [file, ...Object.values(file).filter(isRecord)];
  const record = dice.pick(records);
  const key = dice.pick(Object.keys(record).length > 0 ? Object.keys(record) : ['x']);
  const way = dice.draw();
  if (way < 0.4) record[key] = hostileText(dice);
  else if (way < 0.6) record[key] = dice.pick(VALUES);
  else if (way < 0.7) record[hostileText(dice)] = record[key];
  else if (way < 0.8) delete record[key];
  else if (way < 0.9)
    record[key] = {
      value: hostileText(dice),
      [dice.pick(['fit', 'law', 'piggyback', 'count', 'type'])]: hostileText(dice),
    };
  else if (typeof record[key] === 'string') record[key] = damagedText(dice, record[key]);
}
