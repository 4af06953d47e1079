import { afterEach, describe, expect, it, vi } from 'vitest';
import { ContextWatch } from '../../ui/audio/context-watch.ts';
import { latencyOf } from '../../ui/audio/latency.ts';

// As the browsers send them, with other version numbers.
const FIREFOX = 'Mozilla/5.0 (X11; Linux x86_64; rv:153.0) Gecko/20100101 Firefox/153.0';
const CHROMIUM =
  'Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/156.0.0.0 Safari/537.36';

afterEach(() => {
  vi.unstubAllGlobals();
  vi.useRealTimers();
});

/** A context that counts how often a value is read that may wait for the audio thread. */
function countingContext() {
  const asked = { outputLatency: 0, playbackStats: 0 };
  const context = {
    sampleRate: 48_000,
    baseLatency: 0.005,
    get outputLatency() {
      asked.outputLatency++;
      return 0.02;
    },
    get playbackStats() {
      asked.playbackStats++;
      return { underrunEvents: asked.playbackStats };
    },
  };
  return { asked, context: context as unknown as AudioContext };
}

describe('the latency of a context', () => {
  it('is the sum of buffer, output and engine', () => {
    vi.stubGlobal('navigator', { userAgent: CHROMIUM });
    const { baseMs, outputMs } = latencyOf(countingContext().context, 8, false);
    expect(baseMs).toBeCloseTo(5, 9);
    expect(outputMs).toBeCloseTo(20, 9);
  });

  it('is unknown if the output reports zero, which is impossible', () => {
    vi.stubGlobal('navigator', { userAgent: CHROMIUM });
    for (const outputLatency of [0, undefined]) {
      const context = { sampleRate: 48_000, baseLatency: 0.005, outputLatency } as AudioContext;
      expect(latencyOf(context, 8, false).outputMs).toBeUndefined();
    }
  });

  it('is not read from the output in Firefox, which may freeze then', () => {
    vi.stubGlobal('navigator', { userAgent: FIREFOX });
    const { context, asked } = countingContext();
    expect(latencyOf(context, 8, false).outputMs).toBeUndefined();
    expect(asked.outputLatency).toBe(0);
  });
});

describe('the playback figures of a context', () => {
  it('are read twice a second, and no longer after the watch has ended', () => {
    vi.useFakeTimers();
    const { context, asked } = countingContext();
    const watch = new ContextWatch();
    expect(watch.underruns).toBeUndefined();
    const gaps: number[] = [];
    watch.begin(context, (fresh) => gaps.push(fresh));
    vi.advanceTimersByTime(2000);
    expect([asked.playbackStats, watch.underruns]).toEqual([4, 4]);
    // Dropouts before the first reading belong to the start.
    expect(gaps).toEqual([0, 1, 1, 1]);
    watch.end();
    vi.advanceTimersByTime(2000);
    expect([asked.playbackStats, watch.underruns]).toEqual([4, undefined]);
  });
});
