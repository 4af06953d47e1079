import { describe, expect, it } from 'vitest';
import type { BuildWarning } from '../../engine/analysis/build-warnings.ts';
import type { Build } from '../../engine/builds/build.ts';
import { PedalWarnings } from '../../ui/pedal-warnings.ts';
import type { Answer } from '../../ui/plots/analysis-messages.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const WARNING: BuildWarning = { ref: 'C1', message: 'C1 sees 52 V, limit 36 V', source: '' };

/** An analyser that answers when the test tells it to; of queries that wait in one place it keeps the newest. */
class FakeAnalyser {
  readonly #waiting = new Map<string, { build: Build; answered: (answer: Answer | undefined) => void }>();

  // biome-ignore lint/suspicious/noExplicitAny: one kind of query stands for all.
  readonly ask = (place: string, { build }: any): Promise<any> => {
    this.#waiting.get(place)?.answered(undefined);
    return new Promise((answered) => this.#waiting.set(place, { build, answered }));
  };

  get asked(): readonly Build[] {
    return [...this.#waiting.values()].map(({ build }) => build);
  }

  async answer(build: Build, warnings: readonly BuildWarning[]): Promise<void> {
    for (const [place, waiting] of this.#waiting) {
      if (waiting.build !== build) continue;
      this.#waiting.delete(place);
      waiting.answered({ kind: 'result', result: warnings });
    }
    await new Promise((done) => setTimeout(done));
  }
}

function checked() {
  const analyser = new FakeAnalyser();
  const warnings = new PedalWarnings();
  const check = (builds: readonly Build[], temperatureC = 27) =>
    warnings.check(builds, temperatureC, analyser, () => undefined);
  return { analyser, warnings, check };
}

describe('the warnings of the pedals on the bench', () => {
  it('go with their pedal when it is moved, and do not stand at another one that comes in its place', async () => {
    const { analyser, warnings, check } = checked();
    check([soft, led]);
    await analyser.answer(soft, [WARNING]);
    await analyser.answer(led, []);
    check([led, soft]);
    expect([led, soft].map((build) => warnings.of(build))).toEqual([[], [WARNING]]);
    expect(analyser.asked).toEqual([]);
    const other = { ...soft, title: 'Another' };
    check([led, other]);
    expect(warnings.of(other)).toEqual([]);
  });

  it('stay while a part of the pedal is changed, until it is checked', async () => {
    const { analyser, warnings, check } = checked();
    check([soft]);
    await analyser.answer(soft, [WARNING]);
    const turned = { ...soft, knobs: { ...soft.knobs, drive: 0.1 } };
    check([turned]);
    expect(warnings.of(turned)).toEqual([WARNING]);
    await analyser.answer(turned, []);
    expect(warnings.of(turned)).toEqual([]);
  });

  it('are found also where the pedal is moved before it is checked', async () => {
    const { analyser, warnings, check } = checked();
    check([led, soft]);
    const other = { ...soft, title: 'Another' };
    check([led, other, soft]);
    await analyser.answer(other, []);
    await analyser.answer(soft, [WARNING]);
    expect(warnings.of(soft)).toEqual([WARNING]);
  });

  it('are found anew at another temperature', async () => {
    const { analyser, warnings, check } = checked();
    check([soft]);
    await analyser.answer(soft, [WARNING]);
    check([soft], 60);
    await analyser.answer(soft, []);
    expect(warnings.of(soft)).toEqual([]);
  });
});
