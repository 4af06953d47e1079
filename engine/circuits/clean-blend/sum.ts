import { stage } from '../circuit.ts';
import { capacitor, opamp, pot, resistor } from '../part-spec.ts';

/** Inverting summer on the doubled rails: the clipped path, the clean path and a low-passed clean path. */
export const sumStage = stage({
  id: 'sum',
  title: 'Summing',
  ports: {
    in: [0, 6],
    clean: [1, 13, 'left'],
    out: [33, 8],
    high: 'flags',
    low: 'flags',
    bias: 'flags',
    ground: 'flags',
  },
  parts: {
    R8: resistor('22k', {
      at: [12, 6],
      role: 'Share of the clipped path in the sum.',
      job: 'clipped path resistor',
    }),
    VR1B: pot('100k', 'linear', {
      at: [6, 13],
      turn: 90,
      role: 'Blend: more resistance, less of the clean path.',
      job: 'blend knob',
    }),
    R9: resistor('27k', {
      at: [13, 13],
      role: 'With VR1B and R12 sets the share of the clean path.',
      job: 'clean path resistor',
    }),
    R10: resistor('22k', {
      at: [6, 19],
      role: 'With C7 the low-pass of the second clean path.',
      job: 'clean low-pass resistor',
    }),
    C7: capacitor('100n', {
      at: [10, 22],
      turn: 90,
      role: 'With R10 keeps all but the low end out of the second clean path. Its other end is at ground, so the bias voltage stands across it.',
      job: 'clean low-pass capacitor',
    }),
    R11: resistor('47k', {
      at: [15, 19],
      role: 'Share of the clean lows in the sum.',
      job: 'clean lows resistor',
    }),
    U2A: opamp('U2', {
      at: [26, 8],
      role: 'Adds the paths on rails that leave them room.',
      job: 'summing stage',
    }),
    R12: resistor('47k', {
      at: [27, 15],
      role: 'Feedback: sets the gain of all paths.',
      job: 'summing feedback resistor',
    }),
    C8: capacitor('220p', {
      at: [27, 19],
      role: 'With R12 rolls off the top of the treble.',
      job: 'summing feedback capacitor',
    }),
  },
  wires: [
    ['in', 'R8.1'],
    ['clean', 'VR1B.ccw', 'R10.1'],
    ['VR1B.wiper', 'VR1B.cw', 'R9.1'],
    { name: 'clean lows', pins: ['R10.2', 'C7.1', 'R11.1'] },
    { name: 'sum feedback', pins: ['R8.2', 'R9.2', 'R11.2', 'U2A.minus', 'R12.1', 'C8.1'] },
    { name: 'summed', pins: ['U2A.out', 'R12.2', 'C8.2', 'out'] },
    ['U2A.plus', 'bias'],
    ['C7.2', 'ground'],
    ['U2A.positive', 'high'],
    ['U2A.negative', 'low'],
  ],
});
