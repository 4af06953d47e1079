import { capacitor, pot, resistor } from '../part-spec.ts';

/**
 * Parts that both fuzzes have, with the same values and places. The output takes R4/(R4 + R5) = 2.2/12.2 of the swing of the
 * collector, above 1/(2π·VR2·C3) = 33 Hz.
 */
export const sharedParts = {
  R1: resistor('1M', {
    at: [2, 21],
    turn: 90,
    role: 'Keeps the input at ground, so that plugging in does not pop.',
    job: 'input pull-down resistor',
  }),
  R4: resistor('2k2', {
    at: [28, 2],
    turn: 90,
    labels: 'left',
    role: 'Upper part of the load of Q2: the output takes its share of the swing of the collector.',
    job: 'output tap resistor',
  }),
  C3: capacitor('22n', {
    at: [38, 5],
    role: 'Keeps DC off the output; with VR2 sets the lowest frequency let out.',
    job: 'output knob coupling capacitor',
  }),
  VR2: pot('220k', 'audio-15', { at: [48, 14], role: 'Output level.', job: 'output knob' }),
} as const;
