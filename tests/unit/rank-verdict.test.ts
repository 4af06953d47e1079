import { describe, expect, it } from 'vitest';
import { inOrder, measurePresent, type RankSettings, rankCandidate } from '../../engine/analysis/rank.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { isWithinPieces, type Verdict } from '../../engine/analysis/rank-verdict.ts';
import { pluckedString } from '../../engine/audio/plucked-string.ts';
import { presetBuild } from '../preset-build.ts';

describe('what pieces of two types differ by', () => {
  const spread = (low: number, high: number) => ({
    low: { spectrumDb: Math.abs(low), loudnessLu: low },
    high: { spectrumDb: Math.abs(high), loudnessLu: high },
  });
  const differing = (size: number) => ({ spectrumDb: size, loudnessLu: -size });

  // Independent errors add by their squares: JCGM 100:2008 (GUM), 5.1.2. Here 3² + 4² = 5².
  it('adds by the squares, from the end that differs more', () => {
    const [present, candidate] = [spread(-3, 1), spread(-2, 4)];
    expect(isWithinPieces(differing(4.99), [present, candidate])).toBe(true);
    expect(isWithinPieces(differing(5.01), [present, candidate])).toBe(false);
    expect(isWithinPieces(differing(3.01), [present])).toBe(false);
  });

  it('has to cover tone and loudness both', () => {
    const spreads = [spread(-3, 1), spread(-2, 4)];
    expect(isWithinPieces({ spectrumDb: 1, loudnessLu: 6 }, spreads)).toBe(false);
    expect(isWithinPieces({ spectrumDb: 6, loudnessLu: 0 }, spreads)).toBe(false);
  });
});

describe('a ranking of a pair', () => {
  const RATE_HZ = 48_000;
  const pluck = pluckedString({
    frequencyHz: 110,
    seconds: 0.4,
    sampleRateHz: RATE_HZ,
    decaySeconds: 3,
    pickPosition: 0.2,
    seed: 1,
  });
  const build = presetBuild('soft-plain');
  const settings: RankSettings = {
    around: {},
    temperatureK: 300.15,
    build,
    refs: ['D1', 'D2'],
    input: {
      inputV: pluck.map((sample) => 0.2 * sample),
      sampleRateHz: RATE_HZ,
      factor: 2,
      quality: 'linear-phase',
    },
  };

  it('puts first what pieces of the two types may be each other, checked against the stated spread of each', () => {
    const present = measurePresent(settings);
    const ranked = inOrder(
      candidatesFor(build, settings.refs, '1N914, 1N914B, BAT41, LED-red, 1N4001').map((candidate) =>
        rankCandidate({ ...settings, withSpread: true }, present, candidate),
      ),
    ).map((row) => {
      if ('problem' in row) throw new Error(row.problem);
      return row;
    });
    const order: readonly Verdict[] = ['none', 'differs', 'not ranked'];
    const places = ranked.map(({ verdict }) => order.indexOf(verdict));
    expect(places).toEqual([...places].sort());
    expect(new Set(places)).toEqual(new Set([0, 1, 2]));
    for (const { verdict, difference, ownSpread, text } of ranked) {
      if (verdict === 'not ranked') continue;
      const most = (of: 'spectrumDb' | 'loudnessLu') =>
        Math.hypot(
          ...[present.ownSpread, ownSpread!].map(({ low, high }) =>
            Math.max(Math.abs(low[of]), Math.abs(high[of])),
          ),
        );
      const isWithin =
        difference.spectrumDb <= most('spectrumDb') && Math.abs(difference.loudnessLu) <= most('loudnessLu');
      expect(verdict, text).toBe(isWithin ? 'none' : 'differs');
    }
  }, 120_000);

  it('moves both of a pair to the same end, and one alone by itself', () => {
    const spreadOf = (refs: readonly string[]) => measurePresent({ ...settings, refs }).ownSpread;
    const [pair, alone] = [spreadOf(['D1', 'D2']), spreadOf(['D1'])];
    // Both drops raised by 20 mV raise the level about twice as far as one of them.
    expect(pair.high.loudnessLu / alone.high.loudnessLu).toBeGreaterThan(1.6);
    expect(pair.high.loudnessLu / alone.high.loudnessLu).toBeLessThan(2.4);
  }, 120_000);
});
