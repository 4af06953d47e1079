import { describe, expect, it } from 'vitest';
import { BOUNCE_MS, LONG_PRESS_MS, PressTiming, SECOND_PRESS_MS } from '../../ui/hands/press-timing.ts';
import { foundText, SwitchLearner } from '../../ui/hands/switch-learner.ts';

describe('the presses of one switch', () => {
  it('count at once, and a second one within a third of a second is told from a later one', () => {
    const timing = new PressTiming();
    expect(timing.down(1000)).toBe('first');
    timing.up();
    expect(timing.down(1333)).toBe('second');
    timing.up();
    expect(SECOND_PRESS_MS).toBeCloseTo(1000 / 3, 0);
    expect(timing.down(1400), 'the third begins anew').toBe('first');
    timing.up();
    expect(timing.down(1734)).toBe('first');
  });

  it('are long while the switch stays down, once, and not after it went up or at the second press', () => {
    const timing = new PressTiming();
    timing.down(0);
    expect(timing.isLong(LONG_PRESS_MS - 1)).toBe(false);
    expect(timing.isLong(LONG_PRESS_MS)).toBe(true);
    expect(timing.isLong(2 * LONG_PRESS_MS)).toBe(false);
    timing.up();
    timing.down(5000);
    timing.up();
    expect(timing.isLong(6000)).toBe(false);
    expect(timing.down(5200)).toBe('second');
    expect(timing.isLong(7000)).toBe(false);
  });

  it('do not count when contacts bounce, which does not end a long press either', () => {
    const timing = new PressTiming();
    timing.down(0);
    timing.up();
    expect(timing.down(BOUNCE_MS - 1)).toBeUndefined();
    expect(timing.isLong(LONG_PRESS_MS)).toBe(true);
    timing.up();
    timing.down(5000);
    timing.up();
    expect(timing.down(5000 + BOUNCE_MS)).toBe('second');
  });

  it('are long at any time of the page, whose fractions round', () => {
    for (const atMs of [424.1, 424.6, 3564.4635246879466]) {
      expect(atMs + LONG_PRESS_MS - atMs, 'rounded down').toBeLessThan(LONG_PRESS_MS);
      const timing = new PressTiming();
      timing.down(atMs);
      expect(timing.isLong(atMs + LONG_PRESS_MS), `at ${atMs}`).toBe(true);
    }
  });
});

/** What is learned from presses (+) and releases (−) at these times, ms. */
function learned(wantsHold: boolean, ...edges: number[]) {
  const learner = new SwitchLearner(wantsHold);
  return edges.map((edge) => learner.take(edge > 0, Math.abs(edge))).at(-1);
}

describe('a switch that is learned from two presses', () => {
  it('goes up with the foot, so it is known at the second press, or once that is held', () => {
    expect(learned(false, 100, -250, 1200)).toBe('momentary');
    expect(learned(true, 100, -250, 1200)).toBeUndefined();
    expect(learned(true, 100, -250, 1200, -2000)).toBe('momentary');
    const learner = new SwitchLearner(true);
    for (const edge of [100, -250, 1200]) learner.take(edge > 0, Math.abs(edge));
    expect([learner.isHeld(1300), learner.isHeld(1700)]).toEqual([false, true]);
  });

  it('latches if only every other press lets it up, as a MIDI controller that alternates between 127 and 0', () => {
    for (const wantsHold of [false, true]) {
      expect(learned(wantsHold, 100, -1100)).toBeUndefined();
      expect(learned(wantsHold, 100, -1100, 2100, -3100)).toBe('latching');
    }
    expect(foundText('latching', true)).toBe('Learned. This switch latches, so it has no long press.');
  });

  it('does not latch because a first press was slow: a short one more tells', () => {
    expect(learned(false, 100, -800, 1800, -1950)).toBe('momentary');
    expect(learned(true, 100, -800, 1800, -1950, 3000, -3600)).toBe('momentary');
    expect(learned(true, 100, -800, 1800, -1810, 3000, -3010)).toBe('pulse');
    expect(learned(true, 100, -110, 130, -1100), 'contacts bounced').toBeUndefined();
    expect(learned(true, 100, -110, 130, -1100, 2100, -3100)).toBe('latching');
  });

  it('reports no hold if it sends presses only, as a programme change, or goes up though it is held', () => {
    expect(learned(false, 100, 1100)).toBe('pulse');
    expect(learned(true, 100, 1100)).toBe('pulse');
    expect(learned(true, 100, -110, 1100, -1110)).toBe('pulse');
    expect(foundText('pulse', true)).toContain('no long press');
    expect(foundText('pulse', false)).not.toContain('long press');
    expect(foundText('momentary', true)).toBe('Learned. This switch can be held.');
  });

  it('is not confused by a release from before, or by contacts that bounce', () => {
    expect(learned(false, -50, 100, 110)).toBeUndefined();
    expect(learned(false, 100, -120, 130, -300)).toBeUndefined();
    expect(learned(false, 100, -120, 130, -300, 1200)).toBe('momentary');
  });

  it('says what comes next, and not while the first press is still down', () => {
    for (const [wantsHold, next] of [
      [false, 'press again'],
      [true, 'hold'],
    ] as const) {
      const learner = new SwitchLearner(wantsHold);
      expect(learner.step).toBe('press');
      learner.take(true, 0);
      expect(learner.step).toBe('let go');
      learner.take(false, 200);
      expect(learner.step).toBe(next);
      const slow = new SwitchLearner(wantsHold);
      slow.take(true, 0);
      slow.take(false, 700);
      expect(slow.step).toBe('press briefly');
    }
  });
});
