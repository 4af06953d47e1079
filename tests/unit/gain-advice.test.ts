import { describe, expect, it } from 'vitest';
import { type GainAdvice, GainWatch, gainAdviceText } from '../../ui/audio/gain-advice.ts';

const FRAME_MS = 1000 / 60;

/** The advice in every frame of playing at a level, dB of full scale, from a time on. */
function played(watch: GainWatch, seconds: number, levelDb: (ms: number) => number, fromMs = 0) {
  const advice: (GainAdvice | undefined)[] = [];
  for (let ms = fromMs; ms < fromMs + 1000 * seconds; ms += FRAME_MS)
    advice.push(watch.add(10 ** (levelDb(ms) / 20), ms));
  return advice;
}

// Peaks at −12 dB of full scale are the aim: common practice, no source.
describe('advice on the gain of an interface', () => {
  it('says by how much to turn it so that the loudest peaks come to 12 dB below full scale', () => {
    const low = played(new GainWatch(), 5, () => -27).at(-1);
    expect(gainAdviceText(low!)).toBe('Turn the interface up by about 15 dB.');
    const high = played(new GainWatch(), 5, () => 0).at(-1);
    expect(gainAdviceText(high!)).toBe('Turn the interface down by about 12 dB.');
    for (const db of [-20, -12, -4]) expect(played(new GainWatch(), 5, () => db).at(-1)).toBeUndefined();
  });

  it('goes by strokes, not by what decays between them', () => {
    const strokes = (ms: number) => -10 - 30 * ((ms % 1000) / 1000);
    expect(played(new GainWatch(), 6, strokes).every((advice) => advice === undefined)).toBe(true);
  });

  it('says nothing before there was enough playing, in silence and after it, or of hum', () => {
    const watch = new GainWatch();
    expect(played(watch, 1.5, () => -30).at(-1)).toBeUndefined();
    expect(played(watch, 3, () => -30, 1500).at(-1)).toBeDefined();
    expect(played(watch, 4, () => -120, 4500).at(-1)).toBeUndefined();
    expect(played(new GainWatch(), 10, () => -60).at(-1)).toBeUndefined();
  });

  it('does not flicker where playing is about as loud as the limit', () => {
    for (const limitDb of [-21, -3]) {
      const levels = (ms: number) => limitDb + 1.2 * Math.sin(ms / 700);
      const said = played(new GainWatch(), 30, levels).map((advice) => advice?.byDb);
      const changes = said.filter((byDb, index) => index > 0 && byDb !== said[index - 1]);
      expect(changes.length, `at ${limitDb} dB`).toBeLessThanOrEqual(1);
    }
  });

  it('ends once the interface was turned as advised', () => {
    const watch = new GainWatch();
    const before = played(watch, 4, () => -27).at(-1)!;
    expect(played(watch, 8, () => -27 + before.byDb, 4000).at(-1)).toBeUndefined();
  });
});
