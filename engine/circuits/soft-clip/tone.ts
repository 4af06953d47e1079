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
    R7: resistor('1k', { at: [4, 6], role: 'With C5 the low-pass in front of the tone control.' }),
    C5: capacitor('220n', {
      at: [8, 9],
      turn: 90,
      labels: 'left',
      role: 'With R7 takes the edge off the clipping above its corner. It returns to ground and holds the bias voltage.',
    }),
    R8: resistor('10k', { at: [11, 9], turn: 90, role: 'Holds the tone stage at the bias.' }),
    U1B: opamp('U1', { at: [28, 7], role: 'Lifts or cuts the highs as VR2 turns.' }),
    VR2: pot('20k', 's-shaped', {
      at: [22, 14],
      turn: 90,
      role: 'Tone: from less to more of the highs.',
    }),
    R9: resistor('220R', { at: [22, 19], turn: 90, role: 'Limits how far the highs are cut or lifted.' }),
    C6: capacitor('220n', {
      at: [22, 23],
      turn: 90,
      role: 'With R9 sets where the tone control begins to work. It returns to ground and holds the bias voltage.',
    }),
    R10: resistor('1k', { at: [29, 13], role: 'Feedback of the tone stage.' }),
    C7: capacitor('1u', { at: [36, 7], role: 'Keeps the bias off the output potentiometer.' }),
    R11: resistor('1k', { at: [42, 7], role: 'Keeps a load on the tone stage when the output is at full.' }),
    VR3: pot('100k', 'audio-15', { at: [48, 10], role: 'Output level.' }),
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
