import { stage } from '../circuit.ts';
import { electrolytic, npn, pot, resistor } from '../part-spec.ts';
import { sharedParts } from './shared-parts.ts';

/**
 * Two transistors, the second's base at the first's collector, and a resistor from the second's emitter back to the first's base,
 * which sets both. I_C1 = 0.16 mA: R2 = (9 − 1.3) V/I_C1. V_E2 = V_BE1 + I_B1·R3 = 0.6 V + 1 µA·82 kΩ = 0.7 V, over 2 kΩ: 0.35 mA.
 * R4 + R5 puts the second collector in the middle between that and the supply, 4.7 V. C2: g_m2/(2π·C2) = 45 Hz at
 * full fuzz. With the fuzz at zero the base is R3/(1 + A) = 350 Ω, A = g_m1·(R2 ∥ r_o1 ∥ β·VR1), so C1 = 1/(2π·210 Hz·350 Ω): little
 * bass then, and all of it at full fuzz, where C2 takes away the feedback.
 */
export const siliconFuzzStage = stage({
  id: 'fuzz',
  title: 'Fuzz',
  ports: { in: [0, 18], out: [54, 14], supply: 'flags', ground: 'flags' },
  parts: {
    R1: sharedParts.R1,
    C1: electrolytic('2u2', {
      at: [8, 18],
      turn: 180,
      role: 'Keeps the DC of the base off the guitar, and sets the lowest bass: the lower the fuzz, the less of it.',
      job: 'input coupling capacitor',
    }),
    Q1: npn('2N3904', {
      at: [16, 18],
      role: 'First stage: its base loads the pickup, its collector drives Q2.',
      job: 'gain stage',
    }),
    R2: resistor('47k', {
      at: [17, 8],
      turn: 90,
      labels: 'left',
      role: 'Sets the current of Q1, and its gain.',
      job: 'collector resistor',
    }),
    R3: resistor('82k', {
      at: [22, 23],
      role: 'Sets the bias of both: the base current of Q1 flows through it, from the emitter of Q2. Its feedback makes the input low.',
      job: 'feedback resistor',
    }),
    Q2: npn('2N3904', {
      at: [27, 14],
      role: 'Second stage: it clips, and its emitter sets the bias of Q1.',
      job: 'second gain stage',
    }),
    R4: sharedParts.R4,
    R5: resistor('10k', {
      at: [28, 8],
      turn: 90,
      labels: 'left',
      role: 'With R4 sets the voltage of the collector of Q2. In the middle of its range both half waves clip about evenly.',
      job: 'second collector resistor',
    }),
    VR1: pot('2k', 'linear', {
      at: [28, 26],
      role: 'Fuzz: its track sets the current of Q2; clockwise, C2 takes more of it out of the feedback.',
      job: 'gain knob',
    }),
    C2: electrolytic('47u', {
      at: [36, 28],
      turn: 90,
      role: 'Holds the emitter of Q2 for the signal: a smaller one gives less bass.',
      job: 'bass corner capacitor',
    }),
    C3: sharedParts.C3,
    VR2: sharedParts.VR2,
  },
  wires: [
    ['in', 'R1.1', 'C1.2'],
    { name: 'base', pins: ['C1.1', 'Q1.base', 'R3.1'] },
    ['R2.1', 'R4.1', 'supply'],
    { name: 'first collector', pins: ['R2.2', 'Q1.collector', 'Q2.base'] },
    { name: 'tap', pins: ['R4.2', 'R5.1', 'C3.1'] },
    { name: 'collector', pins: ['R5.2', 'Q2.collector'] },
    { name: 'emitter', pins: ['Q2.emitter', 'VR1.cw', 'R3.2'] },
    ['VR1.wiper', 'C2.1'],
    { name: 'fuzzed', pins: ['C3.2', 'VR2.cw'] },
    ['VR2.wiper', 'out'],
    ['R1.2', 'Q1.emitter', 'VR1.ccw', 'C2.2', 'VR2.ccw', 'ground'],
  ],
});
