import { stage } from '../circuit.ts';
import { capacitor, opamp, pot, resistor } from '../part-spec.ts';

/**
 * A low-pass, then an op-amp between whose inputs the tone potentiometer lies: its wiper takes highs from the
 * signal at one end and from the feedback, which lifts them, at the other. After it comes the output potentiometer.
 */
export const toneStage = stage({
  id: 'tone',
  title: 'Tone and output level',
  ports: { in: [0, 6], out: [52, 10], supply: 'flags', bias: 'flags', ground: 'flags' },
  parts: {
    R7: resistor('1k', {
      at: [4, 6],
      role: 'With C5 sets the treble corner ahead of the tone control.',
      job: 'tone low-pass resistor',
    }),
    C5: capacitor('220n', {
      at: [8, 9],
      turn: 90,
      labels: 'left',
      role: 'With R7 takes the edge off the clipping above the treble corner. Its other end is at ground, so the bias voltage stands across it.',
      job: 'tone low-pass capacitor',
    }),
    R8: resistor('10k', {
      at: [11, 9],
      turn: 90,
      role: 'Holds the tone stage at the bias.',
      job: 'tone bias resistor',
    }),
    U1B: opamp('U1', { at: [28, 7], role: 'Lifts or cuts the highs as VR2 turns.', job: 'tone stage' }),
    VR2: pot('20k', 's-shaped', {
      at: [22, 14],
      turn: 90,
      role: 'Tone: from less to more of the highs.',
      job: 'tone knob',
    }),
    R9: resistor('220R', {
      at: [22, 19],
      turn: 90,
      role: 'Limits how far the highs are lifted or cut.',
      job: 'tone resistor',
    }),
    C6: capacitor('220n', {
      at: [22, 23],
      turn: 90,
      role: 'With R9 sets the corner above which the tone control works. Its other end is at ground, so the bias voltage stands across it.',
      job: 'tone capacitor',
    }),
    R10: resistor('1k', { at: [29, 13], role: 'Feedback of the tone stage.', job: 'tone feedback resistor' }),
    C7: capacitor('1u', {
      at: [36, 7],
      role: 'Keeps the bias off the output knob.',
      job: 'output knob coupling capacitor',
    }),
    R11: resistor('1k', {
      at: [42, 7],
      role: 'Keeps the tone stage from driving a low load; with VR3 sets the level at full output.',
      job: 'output knob series resistor',
    }),
    VR3: pot('100k', 'audio-15', { at: [48, 10], role: 'Output level.', job: 'output knob' }),
  },
  wires: [
    ['in', 'R7.1'],
    { name: 'tone input', pins: ['R7.2', 'C5.1', 'R8.1', 'U1B.plus', 'VR2.ccw'] },
    ['R8.2', 'bias'],
    { name: 'tone feedback', pins: ['U1B.minus', 'VR2.cw', 'R10.1'] },
    ['VR2.wiper', 'R9.1'],
    ['R9.2', 'C6.1'],
    { name: 'toned', pins: ['U1B.out', 'R10.2', 'C7.1'] },
    ['C7.2', 'R11.1'],
    ['R11.2', 'VR3.cw'],
    ['C5.2', 'C6.2', 'VR3.ccw', 'U1B.negative', 'ground'],
    { name: 'level', pins: ['VR3.wiper', 'out'] },
    ['U1B.positive', 'supply'],
  ],
});
