import { describeAgreement } from './preset-agreement.ts';
import { CLEAN_BLEND_PRESETS } from './vectors.ts';

/**
 * The solver against the continuous-time equations that clean_blend.py writes by hand from the schematic and
 * solves with SciPy (LSODA at rtol 1e-10, confirmed by Radau; by how much stands in each vector file).
 */

/** Net of the engine for each node of the reference. */
const NETS: Readonly<Record<string, string>> = {
  pumped: 'U3.doubled',
  d34: 'D3.cathode',
  a: 'buffer input',
  g: 'gain input',
  h: 'C3.2',
  m: 'gain feedback',
  n1: 'R4.2',
  n2: 'R5.2',
  o1: 'amplified',
  n3: 'C6.2',
  c: 'clipped',
  b1: 'VR1B.wiper',
  l: 'clean lows',
  s: 'sum feedback',
  o2: 'summed',
  t: 'treble feedback',
  w: 'VR2.wiper',
  x: 'R15.2',
  o3: 'shelved',
  y: 'C10.2',
  v: 'R16.2',
};

for (const preset of CLEAN_BLEND_PRESETS) {
  // Measured: −84.4 dB for the mid lift, −79.0 to −84.5 dB for the others, each at 1 kHz and 1 V with the gain
  // stage on its rails; at 32x −112.7 dB and better. 2 dB are left.
  describeAgreement(preset, {
    nets: NETS,
    looseNodes: [],
    limitDb: preset === 'clean-midlift' ? -82 : -77,
    offlineLimitDb: -110,
  });
}
