import { stage } from './circuit.ts';
import { switchPart } from './part-spec.ts';

/** True bypass, first pole: the jack goes to the circuit, or past it to the other jack. */
export const footswitchInStage = stage({
  id: 'footswitch-in',
  title: 'Input jack',
  bypass: ['true'],
  ports: { in: [0, 4], out: [12, 3], direct: [11, 5, 'right'] },
  parts: {
    S1A: switchPart(
      ['jack', 'circuit', 'direct'],
      { on: [['jack', 'circuit']], bypassed: [['jack', 'direct']] },
      { at: [6, 4], role: 'First pole of the footswitch: the guitar goes to the circuit or past it.' },
    ),
  },
  wires: [
    ['in', 'S1A.jack'],
    ['S1A.circuit', 'out'],
    ['S1A.direct', 'direct'],
  ],
});

/** True bypass, second pole. The third one of a 3PDT switches the status LED. */
export const footswitchOutStage = stage({
  id: 'footswitch-out',
  title: 'Output jack',
  bypass: ['true'],
  ports: { in: [0, 3], out: [12, 4], direct: [1, 5, 'left'] },
  parts: {
    S1B: switchPart(
      ['jack', 'circuit', 'direct'],
      { on: [['jack', 'circuit']], bypassed: [['jack', 'direct']] },
      {
        at: [6, 4],
        turn: 180,
        flip: true,
        role: 'Second pole of the footswitch: the output jack is at the circuit or at the input jack.',
      },
    ),
  },
  wires: [
    ['in', 'S1B.circuit'],
    ['S1B.jack', 'out'],
    ['S1B.direct', 'direct'],
  ],
});
