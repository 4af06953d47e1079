import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { CORRECTION_HZ, inputCorrection } from '../../engine/analysis/input-correction.ts';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { USUAL_INSTRUMENT, withInstrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { SlotInputs } from '../../worklets/slot-inputs.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const FRAMES = 128;

/** Amplitude of a sine after one second through an input. */
function amplitude(inputs: SlotInputs, slot: 'a' | 'b', hz: number): number {
  const volts = new Float64Array(FRAMES);
  let peak = 0;
  for (let block = 0; block < 375; block++) {
    for (let n = 0; n < FRAMES; n++) volts[n] = Math.sin((2 * Math.PI * hz * (block * FRAMES + n)) / RATE_HZ);
    inputs.process(volts, FRAMES);
    if (block > 187) peak = Math.max(peak, ...inputs[slot].map(Math.abs));
  }
  return peak;
}

describe('the inputs of the builds', () => {
  it('are one signal for both while nothing is corrected', () => {
    const inputs = new SlotInputs(RATE_HZ, FRAMES);
    expect(inputs.a).toBe(inputs.b);
    // 48 samples a period, so that one sample is at the peak
    expect(amplitude(inputs, 'a', 1000)).toBeCloseTo(1, 12);
    expect(inputs.a).toBe(inputs.b);
  });

  it('are corrected only for the build that needs it', () => {
    const pedal = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
    const { coefficients, decibels } = inputCorrection(pedal, USUAL_INSTRUMENT, RATE_HZ);
    const inputs = new SlotInputs(RATE_HZ, FRAMES);
    inputs.correct('a', coefficients);
    const index = CORRECTION_HZ.findIndex((hz) => hz > 3400);
    const hz = CORRECTION_HZ[index]!;
    expect(20 * Math.log10(amplitude(inputs, 'a', hz))).toBeCloseTo(decibels[index]!, 1);
    expect(20 * Math.log10(amplitude(inputs, 'b', hz))).toBeCloseTo(0, 1);
    inputs.correct('a', new Float64Array(0));
    amplitude(inputs, 'a', hz);
    expect(inputs.a).toBe(inputs.b);
  });
});

describe('a guitar as parts before a build', () => {
  it('plays as its small-signal response says', () => {
    const lifted = presetBuild('soft-lifted');
    const network = withInstrument(
      networkOf({ ...lifted, knobs: { ...lifted.knobs, gain: 0 } }, NOMINAL_TEMPERATURE_K),
      USUAL_INSTRUMENT,
    );
    const hz = 3000;
    const inputV = Float64Array.from(
      { length: RATE_HZ / 4 },
      (_, n) => 1e-3 * Math.sin((2 * Math.PI * hz * n) / RATE_HZ),
    );
    const { outputV } = renderOffline(network, inputV, {
      factor: 8,
      quality: 'linear-phase',
      sampleRateHz: RATE_HZ,
    });
    let re = 0;
    let im = 0;
    const from = RATE_HZ / 8;
    for (let n = from; n < outputV.length; n++) {
      re += outputV[n]! * Math.cos((2 * Math.PI * hz * n) / RATE_HZ);
      im += outputV[n]! * Math.sin((2 * Math.PI * hz * n) / RATE_HZ);
    }
    const gainDb = 20 * Math.log10((2 * Math.hypot(re, im)) / (outputV.length - from) / 1e-3);
    // a millivolt is small for transistors, within a tenth of a percent
    expect(gainDb).toBeCloseTo(new FrequencyResponse(network).at(hz, 'out').decibels, 1);
  });
});
