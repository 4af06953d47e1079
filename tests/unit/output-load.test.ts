import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { USUAL_INSTRUMENT, withInstrument } from '../../engine/builds/instrument.ts';
import { USUAL_OUTPUT_LOAD, withOutputLoad } from '../../engine/builds/output-load.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';

interface Complex {
  readonly re: number;
  readonly im: number;
}

const plus = (a: Complex, b: Complex): Complex => ({ re: a.re + b.re, im: a.im + b.im });
const inverse = ({ re, im }: Complex): Complex => {
  const square = re * re + im * im;
  return { re: re / square, im: -im / square };
};
const magnitude = ({ re, im }: Complex) => Math.hypot(re, im);

/**
 * By hand: single coil of 7 kΩ with 2.5 H, 300 kΩ beside it, 100 pF of winding; volume 250 kΩ; tone 250 kΩ with 47 nF; 100 pF for
 * each metre of cable; the input at its end. The few ohms at the ends of the tracks are left out.
 */
function pickupGainDb(hz: number, metres: number, inputOhms: number, inputFarads: number): number {
  const w = 2 * Math.PI * hz;
  const coil = inverse({ re: 1 / 300e3, im: -1 / (w * 2.5) });
  const series = plus({ re: 7000, im: 0 }, coil);
  const tone = inverse({ re: 250e3, im: -1 / (w * 47e-9) });
  const farads = 100e-12 + metres * 100e-12 + inputFarads;
  const load = plus(tone, { re: 1 / 250e3 + 1 / inputOhms, im: w * farads });
  // v/e = 1/(1 + Z·Y)
  const product = {
    re: 1 + series.re * load.re - series.im * load.im,
    im: series.re * load.im + series.im * load.re,
  };
  return -20 * Math.log10(magnitude(product));
}

const soft = presetBuild('soft-plain');
const playedWith = (bypass: typeof soft.bypass, metres: number) => {
  const pedal = bypassedNetworkOf({ ...soft, bypass }, NOMINAL_TEMPERATURE_K);
  return withInstrument(withOutputLoad(pedal, { input: 'amplifier', cableMetres: metres }), USUAL_INSTRUMENT);
};

describe('cable and input after the pedal', () => {
  it.each([500, 2000, 4000, 8000])(
    'load the pickup through a true bypass as a calculation by hand says, at %i Hz',
    (hz) => {
      const network = playedWith('true', 6);
      const { decibels } = new FrequencyResponse(network).at(hz, network.output);
      // What is left out by hand is 2 Ω beside some kilohms.
      expect(decibels).toBeCloseTo(pickupGainDb(hz, 12, 1e6, 100e-12), 2);
    },
  );

  it('cost a single coil 4 dB at 4 kHz behind a true bypass, and nothing behind a buffered one', () => {
    const at = (bypass: typeof soft.bypass, metres: number) => {
      const network = playedWith(bypass, metres);
      return new FrequencyResponse(network).at(4000, network.output).decibels;
    };
    // By hand, six metres more: pickupGainDb(4000, 12, …) - pickupGainDb(4000, 6, …)
    expect(at('true', 6) - at('true', 0)).toBeCloseTo(
      pickupGainDb(4000, 12, 1e6, 100e-12) - pickupGainDb(4000, 6, 1e6, 100e-12),
      2,
    );
    expect(at('true', 6) - at('true', 0)).toBeLessThan(-4);
    expect(Math.abs(at('buffered', 6) - at('buffered', 0))).toBeLessThan(0.1);
  });

  it('cost 5.3 dB of a coil without loss into 1 MΩ without capacitance, and 4.0 dB of one with its loss', () => {
    const at4kHz = (metres: number, hasLoss: boolean) => {
      const network = playedWith('true', metres);
      const primitives = network.primitives
        .filter(({ ref }) => hasLoss || ref !== 'guitar:pickup loss')
        .map((part) =>
          part.kind === 'capacitor' && part.ref === 'after:cable'
            ? { ...part, farads: part.farads - 100e-12 }
            : part,
        );
      return new FrequencyResponse({ ...network, primitives }).at(4000, network.output).decibels;
    };
    // By hand, as above, 6 and 12 m: +3.22 and -2.07 dB without the 300 kΩ, +0.97 and -3.06 dB with them.
    expect(at4kHz(6, false) - at4kHz(0, false)).toBeCloseTo(-5.3, 1);
    expect(at4kHz(6, true) - at4kHz(0, true)).toBeCloseTo(-4.03, 1);
    expect(at4kHz(0, true)).toBeCloseTo(0.97, 1);
    expect(at4kHz(6, true)).toBeCloseTo(-3.06, 1);
  });

  it('replace the amplifier that stands in where nothing is stated', () => {
    const wire = bypassedNetworkOf({ ...soft, bypass: 'true' }, NOMINAL_TEMPERATURE_K);
    const resistors = withOutputLoad(wire, USUAL_OUTPUT_LOAD).primitives.filter(
      ({ kind }) => kind === 'resistor',
    );
    expect(resistors.map((part) => part.kind === 'resistor' && part.ohms)).toEqual([1e6]);
  });
});
