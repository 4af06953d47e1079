import { stage } from './circuit.ts';
import { capacitor, resistor, switchPart } from './part-spec.ts';

/**
 * Buffered bypass: the input buffer always has the guitar, and the output jack is switched from the end of the circuit to the
 * buffer.
 *
 * @param buffered Port of the net that the input buffer drives.
 */
export const bufferedBypassStage = (buffered: string) =>
  stage({
    id: 'buffered-bypass',
    title: 'Buffered bypass',
    bypass: ['buffered'],
    ports: { in: [0, 4], out: [25, 5], [buffered]: [3, 10, 'left'], ground: 'flags' },
    parts: {
      C101: capacitor('1u', {
        at: [7, 10],
        role: 'Keeps the DC of the input buffer off the output while bypassed.',
        job: 'bypass coupling capacitor',
      }),
      R101: resistor('100k', {
        at: [11, 13],
        turn: 90,
        role: 'Keeps the end of C101 at ground while the effect is on, so that bypassing does not pop.',
        job: 'bypass pull-down resistor',
      }),
      S2: switchPart(
        ['jack', 'circuit', 'buffer'],
        { on: [['jack', 'circuit']], bypassed: [['jack', 'buffer']] },
        {
          at: [19, 5],
          turn: 180,
          flip: true,
          role: 'Footswitch: the output jack is at the end of the circuit or at the input buffer.',
        },
      ),
    },
    wires: [
      { name: 'effect output', pins: ['in', 'S2.circuit'] },
      [buffered, 'C101.1'],
      { name: 'bypass output', pins: ['C101.2', 'R101.1', 'S2.buffer'] },
      ['S2.jack', 'out'],
      ['R101.2', 'ground'],
    ],
  });
