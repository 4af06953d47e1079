import { stage } from '../circuit.ts';
import { capacitor, opamp, pot, resistor } from '../part-spec.ts';

/** Inverting stage with a shelf: the highs go up or down as the knob turns, the lows stay where they are. */
export const trebleStage = stage({
  id: 'treble',
  title: 'Treble',
  ports: { in: [0, 8], out: [29, 7], high: 'flags', low: 'flags', bias: 'flags' },
  parts: {
    R13: resistor('10k', {
      at: [6, 8],
      role: 'With R14 keeps the lows at unity.',
      job: 'tone input resistor',
    }),
    R14: resistor('10k', {
      at: [23, 14],
      role: 'Feedback; with R13 keeps the lows at unity.',
      job: 'tone feedback resistor',
    }),
    VR2: pot('10k', 'linear', {
      at: [11, 19],
      turn: 270,
      role: 'Treble: highs from the input at one end, from the output at the other.',
      job: 'tone knob',
    }),
    R15: resistor('2k2', {
      at: [11, 15],
      turn: 270,
      role: 'Limits how far the highs are lifted or cut.',
      job: 'tone resistor',
    }),
    C9: capacitor('33n', {
      at: [11, 11],
      turn: 270,
      role: 'With R15 sets the corner above which the treble knob works.',
      job: 'tone capacitor',
    }),
    U2B: opamp('U2', {
      at: [22, 7],
      role: 'Lifts or cuts the highs on rails that leave them room.',
      job: 'tone stage',
    }),
  },
  wires: [
    ['in', 'R13.1', 'VR2.cw'],
    { name: 'treble feedback', pins: ['R13.2', 'R14.1', 'C9.2', 'U2B.minus'] },
    ['VR2.wiper', 'R15.1'],
    ['R15.2', 'C9.1'],
    { name: 'shelved', pins: ['U2B.out', 'R14.2', 'VR2.ccw', 'out'] },
    ['U2B.plus', 'bias'],
    ['U2B.positive', 'high'],
    ['U2B.negative', 'low'],
  ],
});
