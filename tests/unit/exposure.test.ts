import { describe, expect, it, vi } from 'vitest';
import {
  levelAtEarDb,
  levelAtOneVoltDb,
  weeklyAllowanceSeconds,
  weeklyDose,
} from '../../engine/analysis/exposure.ts';
import { AWeightedPower } from '../../engine/audio/a-weighted-power.ts';
import { TONE_PEAK } from '../../ui/audio/calibration-tone.ts';
import { EarDose } from '../../ui/ear/ear-exposure.ts';

describe('the weekly limit of exposure', () => {
  // WHO/ITU-T H.870 (2018), weekly exposure times for adults, mode 1; from memory. The printed times are rounded.
  it.each([
    [80, 40],
    [83, 20],
    [86, 10],
    [89, 5],
    [92, 2.5],
    [95, 1.25],
    [98, 37.5 / 60],
    [101, 18.75 / 60],
  ])('is %i dB(A) for %f hours', (level, hours) => {
    // The limit counts 3 dB as a factor of two; over seven such steps each is off by 0.24 %.
    expect(weeklyAllowanceSeconds(level) / 3600 / hours).toBeCloseTo(1, 1);
    expect(weeklyDose(level, hours * 3600)).toBeCloseTo(1, 1);
  });
});

describe('the exposure that the bench adds up', () => {
  it('has no number without headphones, and with them counts a tone at its measured volts', () => {
    vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => {}, removeItem: () => {} });
    const dose = new EarDose();
    dose.add(1, 0);
    expect(dose.exposure).toBeUndefined();
    // 0.1 V of the tone at 110 dB/V is 90 dB; a 1 kHz tone as loud as the tone that was measured reads the same
    dose.calibrate({ sensitivity: { decibels: 110, per: 'volt', impedanceOhms: 0 }, toneV: 0.1 });
    for (let ms = 0; ms <= 3600_000; ms += 1000) dose.add(TONE_PEAK ** 2 / 2, ms);
    expect(dose.exposure?.levelDba).toBeCloseTo(90, 6);
    // One hour at 90 dB: ten times the energy of 80 dB, and one fortieth of the weekly time.
    expect(dose.exposure?.dose).toBeCloseTo(10 / 40, 3);
    vi.unstubAllGlobals();
  });
});

describe('the level at the ear', () => {
  it('of a headphone of 100 dB at 1 mW and 32 Ω is 114.9 dB at 1 V: 31.25 mW', () => {
    expect(levelAtOneVoltDb({ decibels: 100, per: 'milliwatt', impedanceOhms: 32 })).toBeCloseTo(114.95, 2);
  });

  it('falls 20 dB for a tenth of the voltage', () => {
    expect(levelAtEarDb(0.1, { decibels: 110, per: 'volt', impedanceOhms: 0 })).toBeCloseTo(90, 9);
  });

  it('is refused without an impedance if the sensitivity is per milliwatt', () => {
    expect(() => levelAtOneVoltDb({ decibels: 100, per: 'milliwatt', impedanceOhms: 0 })).toThrow(/0 Ω/);
  });
});

describe('A-weighted power', () => {
  // IEC 61672-1:2013, table 3, nominal A-weighting; tolerances of class 1 are ±0.7 to ±1.5 dB in this range
  it.each([
    [31.5, -39.4],
    [63, -26.2],
    [125, -16.1],
    [250, -8.6],
    [500, -3.2],
    [1000, 0],
    [2000, 1.2],
    [4000, 1.0],
    [8000, -1.1],
    [12_500, -4.3],
  ])('of a sine of %f Hz is weighted by %f dB', (hz, decibels) => {
    for (const sampleRateHz of [44_100, 48_000, 96_000]) {
      const power = new AWeightedPower(sampleRateHz, 4096);
      const block = new Float64Array(4096);
      let phase = 0;
      for (let pass = 0; pass < 40; pass++) {
        for (let n = 0; n < block.length; n++) {
          block[n] = Math.SQRT2 * Math.sin(phase);
          phase += (2 * Math.PI * hz) / sampleRateHz;
        }
        if (pass === 20) power.take();
        power.process(block, block.length);
      }
      // the table's nominal frequencies are rounded, and so are its decibels
      expect(Math.abs(10 * Math.log10(power.take()) - decibels)).toBeLessThan(0.25);
    }
  });

  it('is measured only once', () => {
    const power = new AWeightedPower(48_000, 8);
    power.process(new Float64Array(8).fill(1), 8);
    expect(power.take()).toBeGreaterThan(0);
    expect(power.take()).toBe(0);
  });
});
