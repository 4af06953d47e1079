import { describe, expect, it } from 'vitest';
import { aliasingOf } from '../benchmark/aliasing.ts';
import { CLEAN_BLEND_PRESETS, SOFT_CLIP_PRESETS } from './vectors.ts';

/**
 * The strongest component of a steady sine of 1 V that is not one of its harmonics, at 16x. For comparison: in a
 * solution at 256x, with every sixteenth sample kept, it is −119 dB (soft-lifted) and −97 dB (clean-plain) at 5 kHz.
 */
describe.each([
  // Measured: −149 dB and −95 dB with the op-amp at its limits, −189 and −106 dB and better with diodes.
  { circuit: 'soft-clip', presets: SOFT_CLIP_PRESETS, limit1000: -130, limit5007: -90 },
  // Measured: −113 to −121 dB, and −78 to −88 dB. All limits leave at least 2 dB.
  { circuit: 'clean-blend', presets: CLEAN_BLEND_PRESETS, limit1000: -108, limit5007: -75 },
])('aliasing of $circuit at 16x', ({ presets, limit1000, limit5007 }) => {
  it.each(presets)(`is below ${limit1000} dB at 1 kHz and ${limit5007} dB at 5 kHz: %s`, (preset) => {
    const [low, high] = aliasingOf([preset], { factors: [16], hasSweep: false });
    expect(low!.hz).toBeCloseTo(999, 0);
    expect(low!.worstInharmonicDb).toBeLessThan(limit1000);
    expect(high!.hz).toBeCloseTo(5007, 0);
    expect(high!.worstInharmonicDb).toBeLessThan(limit5007);
  });
});
