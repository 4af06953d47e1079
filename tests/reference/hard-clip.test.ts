import { describeAgreement, type Limits } from './preset-agreement.ts';
import { HARD_CLIP_PRESETS } from './vectors.ts';

/**
 * The solver compared with the continuous-time equations that hard_clip.py has by hand from the schematic and solves with SciPy
 * (LSODA at rtol 1e-10). The circuit itself is a list of stages, so this holds the joining of stages too.
 */

/** Net of the engine for each node of the reference. */
const NETS: Readonly<Record<string, string>> = {
  a: 'buffer input',
  o1: 'buffered',
  g: 'gain input',
  m: 'gain feedback',
  n1: 'R4.2',
  n2: 'R5.2',
  o2: 'amplified',
  x: 'C5.2',
  c: 'clipped',
  w: 'R8.2',
  t: 'toned',
  y: 'C7.2',
};

/**
 * Largest solver errors, dB: 2 to 3 dB above the measured error of the worst input of each group. The aims for the group
 * `target` are those of the other hard clipper, -62, -80 and -95 dB at 8x, 16x and 32x.
 */
const LIMITS_DB: Readonly<Record<(typeof HARD_CLIP_PRESETS)[number], Limits>> = {
  'hard-plain': { at8x: { target: -88, '2 V': -80, '5 kHz': -56, step: -102 }, at16x: -107, offline: -124 },
};

for (const preset of HARD_CLIP_PRESETS)
  describeAgreement(preset, { nets: NETS, looseNodes: [] }, LIMITS_DB[preset]);
