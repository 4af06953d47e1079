import { stage } from '../circuit.ts';
import { capacitor, electrolytic, pnp, pot, resistor, switchPart } from '../part-spec.ts';

/**
 * Common-emitter stage with a germanium PNP whose emitter is at the plus. I_C = 0.35 mA; R_E = 0.77 V/I_C holds it against leakage
 * and temperature; V_EB = V_T·ln(I_C/I_S) = 0.123 V (I_S 3 µA, Early effect left out); the divider carries 50 µA, twenty times the
 * base current, and is 0.9 V below the supply; R_C = half of what is left, (9 − 0.77) V/2, over I_C. The gain is g_m·R_C beside the
 * output knob, with g_m = I_C/V_T = 13.5 mS. R6 keeps C2 charged while the switch is open: without it the switch would put a
 * capacitor of 0 V on the 8 V of the base. In series with C2 it is 400 times the 6 kΩ at the base. Corners: of C1 with the 6 kΩ at the base 1/(2π·R·C1) = 2.6 kHz, lower with a pickup in
 * series; a tenth of that with C2, ten times C1; of the emitter g_m/(2π·C3), about 100 Hz; of the output 1/(2π·VR1·C4) = 16 Hz.
 */
export const trebleBoosterStage = stage({
  id: 'booster',
  title: 'Booster',
  ports: { in: [0, 12], out: [62, 22], supply: 'flags', ground: 'flags' },
  parts: {
    R1: resistor('1M', {
      at: [2, 15],
      turn: 90,
      role: 'Keeps the input at ground, so that plugging in does not pop.',
      job: 'input pull-down resistor',
    }),
    C1: capacitor('10n', {
      at: [9, 12],
      role: 'Lets treble in: with the low resistance at the base it takes off what lies below its corner.',
      job: 'input coupling capacitor',
    }),
    C2: capacitor('100n', {
      at: [9, 6],
      role: 'In parallel with C1 where the switch says full: the corner is lower.',
      job: 'bass path capacitor',
    }),
    SW1: switchPart(
      ['a', 'b'],
      { treble: [], full: [['a', 'b']] },
      { at: [15, 6], role: 'Range: treble alone, or nearly the full range.', job: 'tone switch' },
    ),
    R6: resistor('2M2', {
      at: [15, 9],
      role: 'Keeps C2 at the voltage of the base while the switch is open, so that the switch does not pop. No effect on the sound.',
      job: 'tone switch resistor',
    }),
    R2: resistor('18k', {
      at: [26, 8],
      turn: 90,
      labels: 'left',
      role: 'Upper part of the divider of the base. With R3 and the base most of the load on the pickup.',
      job: 'upper base divider resistor',
    }),
    R3: resistor('150k', {
      at: [26, 16],
      turn: 90,
      labels: 'left',
      role: 'Lower part of the divider of the base.',
      job: 'lower base divider resistor',
    }),
    Q1: pnp('2N1305', {
      at: [34, 12],
      role: 'Amplifies: the more current it carries and the larger R5, the more.',
      job: 'booster',
    }),
    R4: resistor('2k2', {
      at: [35, 6],
      turn: 90,
      role: 'Sets the current, and holds it when the temperature or the transistor changes.',
      job: 'emitter resistor',
    }),
    C3: electrolytic('22u', {
      at: [43, 12],
      turn: 90,
      role: 'Holds the emitter for the signal: a smaller one gives less bass.',
      job: 'bass corner capacitor',
    }),
    R5: resistor('12k', {
      at: [35, 20],
      turn: 90,
      labels: 'left',
      role: 'Sets the gain and the collector voltage. With the collector midway between ground and emitter both half waves have room.',
      job: 'collector resistor',
    }),
    C4: capacitor('100n', {
      at: [44, 20],
      role: 'Keeps the DC of the collector off the output; with VR1 sets the lowest frequency let out.',
      job: 'output knob coupling capacitor',
    }),
    VR1: pot('100k', 'audio-15', { at: [56, 22], role: 'Output level.', job: 'output knob' }),
  },
  wires: [
    ['in', 'R1.1', 'C1.1', 'C2.1'],
    ['C2.2', 'SW1.a', 'R6.1'],
    { name: 'base', pins: ['C1.2', 'SW1.b', 'R6.2', 'R2.2', 'R3.1', 'Q1.base'] },
    ['R2.1', 'R4.1', 'supply'],
    { name: 'emitter', pins: ['R4.2', 'Q1.emitter', 'C3.1'] },
    { name: 'collector', pins: ['Q1.collector', 'R5.1', 'C4.1'] },
    { name: 'boosted', pins: ['C4.2', 'VR1.cw'] },
    ['VR1.wiper', 'out'],
    ['R1.2', 'R3.2', 'C3.2', 'R5.2', 'VR1.ccw', 'ground'],
  ],
});
