import { candidatesFor } from '../../../engine/analysis/rank-candidates.ts';
import { type Build, buildParts } from '../../../engine/builds/build.ts';
import { parseSettingText, settingText } from '../../../engine/builds/part-setting.ts';
import { presetNames } from '../../../engine/cli/preset-files.ts';
import { Refusal } from '../../../engine/input/refusal.ts';
import { presetBuild } from '../../preset-build.ts';
import { cpuSeconds } from '../cpu-time.ts';
import { Dice } from '../dice.ts';
import { damagedText, hostileText } from '../hostile-texts.ts';
import type { Kind, Verdict } from '../kind.ts';
import { refusalFault } from '../refusal.ts';

/** Texts that are typed at a part, or as a list of candidates for it. */
export const kind: Kind = {
  name: 'texts typed at a part',
  figure: { name: 'slowest', unit: 's of processor time', most: 0.5 },
  attempt: (seed) => {
    const dice = new Dice(seed);
    const build = presetBuild(dice.pick(presetNames()));
    const part = dice.pick(buildParts(build.circuit));
    const own = settingText(build.parts[part.ref]!);
    const text = dice.draw() < 0.5 ? hostileText(dice) : damagedText(dice, own);
    return tryPartText(build, part.ref, text);
  },
};

/** The two functions that read such a text. */
export function tryPartText(build: Build, ref: string, text: string): Verdict {
  const part = buildParts(build.circuit).find((candidate) => candidate.ref === ref)!;
  const { result: faults, seconds } = cpuSeconds(() => [
    refusalOf(() => parseSettingText(part, text, build.parts[ref]!)),
    refusalOf(() => candidatesFor(build, [ref], text)),
  ]);
  return { fault: faults.find((fault) => fault !== undefined), figure: seconds };
}

function refusalOf(read: () => unknown): string | undefined {
  try {
    read();
    return undefined;
  } catch (error) {
    if (error instanceof Refusal) return refusalFault(error.message);
    throw error;
  }
}
