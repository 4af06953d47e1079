import { stage } from '../circuit.ts';
import { capacitor, electrolytic, nJfet, pot, resistor } from '../part-spec.ts';

/**
 * Common-source stage that biases itself. With β and V_to of the JFET, I_D = 0.25 mA needs V_GS = V_to + √(I_D/β) = −0.21 V, so
 * R_S = 0.21 V/0.25 mA; R_D puts the drain in the middle between supply and source, 4.5 V. The gain is g_m·R_D beside the output
 * knob, with g_m = 2·√(β·I_D) = 1.3 mS; VR1 = 5 kΩ leaves it at half of that when turned down. Corners: of the input 1/(2π·R2·C1)
 * = 7 Hz, of the gain 1/(2π·C2·(R5 ∥ 1/g_m)) = 18 Hz, of the output 1/(2π·VR2·C3) = 1.6 Hz.
 */
export const boosterStage = stage({
  id: 'booster',
  title: 'Booster',
  ports: { in: [0, 10], out: [52, 10], supply: 'flags', ground: 'flags' },
  parts: {
    R1: resistor('2M2', {
      at: [2, 13],
      turn: 90,
      role: 'Keeps the input at ground, so that plugging in does not pop.',
      job: 'input pull-down resistor',
    }),
    C1: capacitor('22n', {
      at: [7, 10],
      role: 'Keeps DC of what is ahead off the gate; with R2 sets the lowest frequency let in.',
      job: 'input coupling capacitor',
    }),
    R2: resistor('1M', {
      at: [11, 13],
      turn: 90,
      role: 'Holds the gate at ground. With R1 the load on the pickup.',
      job: 'input bias resistor',
    }),
    R3: resistor('10k', {
      at: [15, 10],
      role: 'With the capacitance of the gate keeps radio out; no effect on the sound.',
      job: 'input filter resistor',
    }),
    Q1: nJfet('J201', {
      at: [21, 10],
      role: 'Amplifies: the more current it carries and the larger R4, the more.',
      job: 'booster',
    }),
    R4: resistor('18k', {
      at: [22, 4],
      turn: 90,
      role: 'Sets the gain and the drain voltage. With the drain near half of the supply both half waves have room.',
      job: 'drain resistor',
    }),
    R5: resistor('820R', {
      at: [22, 16],
      turn: 90,
      labels: 'left',
      role: 'Sets the drain current: the voltage across it holds the gate below the source. Another JFET needs another value.',
      job: 'source resistor',
    }),
    C2: electrolytic('22u', {
      at: [28, 16],
      turn: 90,
      role: 'Takes R5 out of the gain above its corner: a smaller one gives less bass.',
      job: 'bass corner capacitor',
    }),
    VR1: pot('5k', 'linear', {
      at: [28, 22],
      role: 'Gain: clockwise, less resistance in series with C2 and more gain.',
      job: 'gain knob',
    }),
    C3: capacitor('1u', {
      at: [32, 8],
      role: 'Keeps the DC of the drain off the output; with VR2 sets the lowest frequency let out.',
      job: 'output knob coupling capacitor',
    }),
    VR2: pot('100k', 'audio-15', { at: [46, 10], role: 'Output level.', job: 'output knob' }),
  },
  wires: [
    ['in', 'R1.1', 'C1.1'],
    { name: 'gate bias', pins: ['C1.2', 'R2.1', 'R3.1'] },
    { name: 'gate', pins: ['R3.2', 'Q1.gate'] },
    ['R4.1', 'supply'],
    { name: 'drain', pins: ['Q1.drain', 'R4.2', 'C3.1'] },
    { name: 'source', pins: ['Q1.source', 'R5.1', 'C2.1'] },
    ['C2.2', 'VR1.cw'],
    { name: 'boosted', pins: ['C3.2', 'VR2.cw'] },
    ['VR2.wiper', 'out'],
    ['R1.2', 'R2.2', 'R5.2', 'VR1.wiper', 'VR1.ccw', 'VR2.ccw', 'ground'],
  ],
});
