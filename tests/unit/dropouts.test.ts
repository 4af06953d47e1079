import { describe, expect, it } from 'vitest';
import { ClockGaps } from '../../ui/audio/clock-gaps.ts';
import { NO_DROPOUTS, withDropouts } from '../../ui/audio/dropouts.ts';

describe('gaps found by two clocks', () => {
  /**
   * Gaps that are found in a minute of readings, two a second. @param stopped Seconds for which the audio clock has not
   * moved by then. @param lateness Seconds of delay of the reading: pages are busy, and the clock moves in blocks.
   */
  function gapsOf(stopped: (seconds: number) => number, lateness: (reading: number) => number): number {
    const clocks = new ClockGaps();
    let gaps = 0;
    for (let reading = 0; reading <= 120; reading++) {
      const seconds = reading / 2;
      // A crystal that is off by 100 ppm, like the worst sound cards (from memory).
      gaps = clocks.read(seconds, 0.9999 * seconds - stopped(seconds) - lateness(reading));
    }
    return gaps;
  }

  it('do not exist while the page only reads late now and then', () => {
    const lateness = (reading: number) => 0.01 * (reading % 3) + (reading % 17 === 0 ? 0.4 : 0);
    expect(gapsOf(() => 0, lateness)).toBe(0);
  });

  it('are the times in which the audio clock did not move', () => {
    const lateness = (reading: number) => 0.005 * (reading % 3);
    expect(gapsOf((seconds) => (seconds > 20 ? 0.05 : 0), lateness)).toBeGreaterThan(0);
    // 20 ms in each of 40 seconds
    const many = gapsOf((seconds) => 0.02 * Math.floor(Math.min(40, Math.max(0, seconds - 10))), lateness);
    expect(many).toBeGreaterThan(30);
    expect(many).toBeLessThan(50);
  });
});

describe('the log of dropouts', () => {
  it('has one line for gaps that came together, the newest first, and counts all of them', () => {
    let dropouts = NO_DROPOUTS;
    dropouts = withDropouts(dropouts, { count: 2, factor: 16, atMs: 0 });
    dropouts = withDropouts(dropouts, { count: 3, factor: 16, atMs: 6000 });
    dropouts = withDropouts(dropouts, { count: 1, factor: 8, atMs: 7000 });
    dropouts = withDropouts(dropouts, { count: 1, factor: 8, atMs: 60_000 });
    expect(dropouts).toEqual({
      count: 7,
      log: [
        { count: 1, factor: 8, atMs: 60_000 },
        { count: 1, factor: 8, atMs: 7000 },
        { count: 5, factor: 16, atMs: 6000 },
      ],
    });
  });

  it('is of limited length', () => {
    let dropouts = NO_DROPOUTS;
    for (let n = 0; n < 20; n++) dropouts = withDropouts(dropouts, { count: 1, factor: 8, atMs: 60_000 * n });
    expect([dropouts.count, dropouts.log.length, dropouts.log[0]?.atMs]).toEqual([20, 8, 19 * 60_000]);
  });
});
