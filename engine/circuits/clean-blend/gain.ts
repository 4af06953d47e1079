import { stage } from '../circuit.ts';
import { capacitor, diode, opamp, pot, resistor, switchPart } from '../part-spec.ts';

/** High gain that falls with frequency, then a resistor and germanium diodes: hard clipping. */
export const gainStage = stage({
  id: 'gain',
  title: 'Gain and clipping',
  ports: { in: [0, 8], out: [92, 11], supply: 'flags', bias: 'flags', ground: 'flags', clean: [2, 5, 'up'] },
  parts: {
    C2: capacitor('47n', {
      at: [8, 8],
      role: 'Lets the highs and mids into the gain stage.',
      job: 'gain stage coupling capacitor',
    }),
    C3: capacitor('470n', {
      at: [6, 13],
      role: 'Lets the low end in, as far as VR4 allows.',
      job: 'bass path capacitor',
    }),
    VR4: pot('50k', 'linear', {
      at: [13, 13],
      turn: 90,
      role: 'Bass: how much low end is clipped. Jumpered: all of it. Not fitted: the least.',
      job: 'bass knob',
    }),
    R3: resistor('22k', {
      at: [18, 11],
      turn: 90,
      role: 'Biases the gain stage; with C2 sets its bass corner.',
      job: 'gain stage bias resistor',
    }),
    U1B: opamp('U1', { at: [30, 9], role: 'Amplifies the path that is clipped.', job: 'gain stage' }),
    R4: resistor('2k2', {
      at: [27, 15],
      turn: 90,
      labels: 'left',
      role: 'With R5 and VR1A sets the gain, with C4 the bass corner of the gain stage.',
      job: 'gain resistor',
    }),
    C4: capacitor('220n', {
      at: [27, 19],
      turn: 90,
      labels: 'left',
      role: 'With R4 sets the bass corner, below which the gain falls to one. Its other end is at ground, so the bias voltage stands across it.',
      job: 'bass corner capacitor',
    }),
    R5: resistor('15k', {
      at: [33, 14],
      role: 'Sets the lowest gain, with VR1A at zero.',
      job: 'lowest gain resistor',
    }),
    VR1A: pot('100k', 'linear', {
      at: [40, 14],
      turn: 90,
      role: 'Gain of the clipped path.',
      job: 'gain knob',
    }),
    C5: capacitor('2n7', {
      at: [36, 18],
      role: 'With the feedback resistance rolls off the highs of the clipped path. 100p leaves it bright.',
      job: 'feedback capacitor',
    }),
    C6: capacitor('1u', {
      at: [42, 9],
      role: 'Keeps the DC of the gain stage off the diodes.',
      job: 'clipping coupling capacitor',
    }),
    R6: resistor('1k', {
      at: [48, 9],
      role: 'In series ahead of the diodes: the less resistance, the more level is left after clipping.',
      job: 'clipping series resistor',
    }),
    R7: resistor('47k', {
      at: [53, 12],
      turn: 90,
      labels: 'left',
      role: 'Holds the clipped path at the voltage to which the diodes return: bias or ground.',
      job: 'clipping bias resistor',
    }),
    D1: diode('1N34A', {
      at: [65, 12],
      turn: 90,
      role: 'Clips the upper half waves.',
      job: 'upper clipping diode',
    }),
    R22: resistor('1k', {
      at: [65, 17],
      turn: 90,
      fit: 'bridged',
      role: 'Place for a resistor in series with D1: the upper half waves are clipped more softly.',
      job: 'upper clipping diode resistor',
    }),
    R23: resistor('1k', {
      at: [58, 12],
      turn: 90,
      fit: 'bridged',
      role: 'Place for a resistor in series with D2: the lower half waves are clipped more softly.',
      job: 'lower clipping diode resistor',
    }),
    D2: diode('1N34A', {
      at: [58, 17],
      turn: 270,
      role: 'Clips the lower half waves.',
      job: 'lower clipping diode',
    }),
    D5: diode('1N34A', {
      at: [58, 23],
      turn: 270,
      role: 'In series with D2 with the clipping wired asymmetric.',
      job: 'asymmetric clipping diode',
    }),
    W3: switchPart(
      ['a', 'a1', 'b', 'b1', 'b2'],
      {
        symmetric: [
          ['a', 'a1'],
          ['b', 'b1'],
        ],
        lifted: [],
        asymmetric: [
          ['a', 'a1'],
          ['b', 'b2'],
        ],
      },
      {
        at: [76, 22],
        turn: 180,
        flip: true,
        role: 'Clipping: one diode for each half wave, none, or one and two.',
        job: 'clipping switch',
      },
    ),
    C16: capacitor('1u', {
      at: [75, 13],
      role: 'Keeps the DC of the summing stage off diodes that return to ground. Not in use while they return to the bias.',
      job: 'clipped path coupling capacitor',
    }),
    W4: switchPart(
      ['return', 'bias', 'ground', 'out', 'direct', 'coupled'],
      {
        bias: [
          ['out', 'direct'],
          ['return', 'bias'],
        ],
        ground: [
          ['out', 'coupled'],
          ['return', 'ground'],
        ],
      },
      {
        at: [84, 12],
        turn: 180,
        flip: true,
        role: 'Where the diodes return to: to the bias, whose capacitor their current moves, or to ground, with C16 ahead of the sum.',
      },
    ),
  },
  wires: [
    ['in', 'C2.1', 'C3.1', 'clean'],
    ['C3.2', 'VR4.ccw'],
    { name: 'gain input', pins: ['C2.2', 'VR4.wiper', 'VR4.cw', 'R3.1', 'U1B.plus'] },
    { name: 'gain feedback', pins: ['U1B.minus', 'R4.1', 'R5.1', 'C5.1'] },
    ['R4.2', 'C4.1'],
    ['R5.2', 'VR1A.ccw'],
    { name: 'amplified', pins: ['U1B.out', 'VR1A.wiper', 'VR1A.cw', 'C5.2', 'C6.1'] },
    ['C6.2', 'R6.1'],
    { name: 'clipped', pins: ['R6.2', 'D1.anode', 'R23.1', 'R7.1', 'C16.1', 'W4.direct'] },
    ['D1.cathode', 'R22.1'],
    ['R22.2', 'W3.a1'],
    ['R23.2', 'D2.cathode'],
    ['D2.anode', 'D5.cathode', 'W3.b1'],
    ['D5.anode', 'W3.b2'],
    ['R7.2', 'W3.a', 'W3.b', 'W4.return'],
    ['C16.2', 'W4.coupled'],
    ['W4.out', 'out'],
    ['R3.2', 'W4.bias', 'bias'],
    ['U1B.positive', 'supply'],
    ['C4.2', 'W4.ground', 'U1B.negative', 'ground'],
  ],
});
