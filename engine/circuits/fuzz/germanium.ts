import { stage } from '../circuit.ts';
import { electrolytic, pnp, pot, resistor } from '../part-spec.ts';
import { sharedParts } from './shared-parts.ts';

/**
 * The two transistors of the silicon fuzz in germanium, with all voltages below ground. I_C1 = 0.19 mA: R2 = (9 − 0.3) V/I_C1.
 * V_E2 = V_EB1 + I_B1·R3 = 0.12 V + 1.2 µA·68 kΩ = 0.2 V, over 500 Ω: 0.4 mA. I_B1 = I_C1/80 less the leak of 1.1 µA. A leaky Q1 would need no base current, and leave Q2
 * without any, so Q1 is of little leakage. R4 + R5 puts the second collector near the middle, −4 V at 27 °C.
 * C2: g_m2/(2π·C2) = 50 Hz at full fuzz.
 */
export const germaniumFuzzStage = stage({
  id: 'fuzz',
  title: 'Fuzz',
  ports: { in: [0, 18], out: [54, 14], supply: 'flags', ground: 'flags' },
  parts: {
    R1: sharedParts.R1,
    C1: electrolytic('2u2', {
      at: [8, 18],
      role: 'Keeps the DC of the base off the guitar, and sets the lowest bass: the lower the fuzz, the less of it.',
      job: 'input coupling capacitor',
    }),
    Q1: pnp('2N404', {
      at: [16, 18],
      flip: true,
      role: 'First stage, of little leakage: its base loads the pickup, its collector drives Q2.',
      job: 'gain stage',
    }),
    R2: resistor('47k', {
      at: [17, 8],
      turn: 90,
      labels: 'left',
      role: 'Sets the current of Q1, and its gain.',
      job: 'collector resistor',
    }),
    R3: resistor('68k', {
      at: [22, 23],
      role: 'Sets the bias of both: the base current of Q1 flows through it, to the emitter of Q2. Its feedback makes the input low.',
      job: 'feedback resistor',
    }),
    Q2: pnp('AC125', {
      at: [27, 14],
      flip: true,
      role: 'Second stage: it clips, and its emitter sets the bias of Q1. Its leakage adds to its current, and rises with heat.',
      job: 'second gain stage',
    }),
    R4: sharedParts.R4,
    R5: resistor('10k', {
      at: [28, 8],
      turn: 90,
      labels: 'left',
      role: 'With R4 sets the voltage of the collector of Q2. Heat moves it towards ground.',
      job: 'second collector resistor',
    }),
    VR1: pot('500R', 'linear', {
      at: [28, 26],
      role: 'Fuzz: its track sets the current of Q2; clockwise, C2 takes more of it out of the feedback.',
      job: 'gain knob',
    }),
    C2: electrolytic('47u', {
      at: [36, 28],
      turn: 270,
      role: 'Holds the emitter of Q2 for the signal: a smaller one gives less bass.',
      job: 'bass corner capacitor',
    }),
    C3: sharedParts.C3,
    VR2: sharedParts.VR2,
  },
  wires: [
    ['in', 'R1.1', 'C1.1'],
    { name: 'base', pins: ['C1.2', 'Q1.base', 'R3.1'] },
    ['R2.1', 'R4.1', 'supply'],
    { name: 'first collector', pins: ['R2.2', 'Q1.collector', 'Q2.base'] },
    { name: 'tap', pins: ['R4.2', 'R5.1', 'C3.1'] },
    { name: 'collector', pins: ['R5.2', 'Q2.collector'] },
    { name: 'emitter', pins: ['Q2.emitter', 'VR1.cw', 'R3.2'] },
    ['VR1.wiper', 'C2.2'],
    { name: 'fuzzed', pins: ['C3.2', 'VR2.cw'] },
    ['VR2.wiper', 'out'],
    ['R1.2', 'Q1.emitter', 'VR1.ccw', 'C2.1', 'VR2.ccw', 'ground'],
  ],
});
