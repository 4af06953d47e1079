import { stage } from '../circuit.ts';
import { capacitor, diode, opamp, pot, resistor, switchPart } from '../part-spec.ts';

/**
 * Non-inverting stage with diodes across its feedback. Below the cutoff frequency of R4 and C3 its gain falls
 * to one, not to zero, which leaves the low end clean.
 */
export const gainStage = stage({
  id: 'gain',
  title: 'Gain and clipping',
  ports: { in: [0, 6], out: [50, 12], supply: 'flags', bias: 'flags', ground: 'flags' },
  parts: {
    C2: capacitor('1u', {
      at: [4, 6],
      role: 'Keeps the DC of the input buffer off the gain stage; with R5 sets a bass corner.',
      job: 'gain stage coupling capacitor',
    }),
    R5: resistor('10k', {
      at: [8, 9],
      turn: 90,
      labels: 'left',
      role: 'Biases the op-amp; load of the input buffer.',
      job: 'gain stage bias resistor',
    }),
    U1A: opamp('U1', { at: [15, 7], role: 'Amplifies until the diodes conduct.', job: 'gain stage' }),
    R4: resistor('4k7', {
      at: [12, 15],
      turn: 90,
      labels: 'left',
      role: 'With R6 and VR1 sets the gain, with C3 the bass corner of the gain stage.',
      job: 'gain resistor',
    }),
    C3: capacitor('47n', {
      at: [12, 19],
      turn: 90,
      labels: 'left',
      role: 'With R4 sets the bass corner, below which the gain falls to one. Its other end is at ground, so the bias voltage stands across it.',
      job: 'bass corner capacitor',
    }),
    R6: resistor('51k', {
      at: [18, 12],
      role: 'Sets the lowest gain, with VR1 at zero.',
      job: 'lowest gain resistor',
    }),
    VR1: pot('500k', 'audio-15', {
      at: [25, 12],
      turn: 90,
      role: 'Gain: more resistance in the feedback, more gain.',
      job: 'gain knob',
    }),
    C4: capacitor('51p', {
      at: [21, 17],
      role: 'With the feedback resistance rolls off the highs and rounds the clipping.',
      job: 'feedback capacitor',
    }),
    D1: diode('1N4148', { at: [18, 21], role: 'Clips the lower half waves.', job: 'lower clipping diode' }),
    D4: diode('1N4148', {
      at: [24, 21],
      fit: 'bridged',
      role: 'Place for a second diode in series with D1: with the switch at asymmetric, two diodes then clip each half wave.',
      job: 'further clipping diode',
    }),
    R20: resistor('1k', {
      at: [30, 21],
      fit: 'bridged',
      role: 'Place for a resistor in series with D1: the lower half waves are clipped more softly.',
      job: 'lower clipping diode resistor',
    }),
    R21: resistor('1k', {
      at: [30, 26],
      turn: 180,
      fit: 'bridged',
      role: 'Place for a resistor in series with D2: the upper half waves are clipped more softly.',
      job: 'upper clipping diode resistor',
    }),
    D2: diode('1N4148', {
      at: [24, 26],
      turn: 180,
      role: 'Clips the upper half waves.',
      job: 'upper clipping diode',
    }),
    D3: diode('1N4148', {
      at: [17, 26],
      turn: 180,
      role: 'In series with D2 with the switch at asymmetric.',
      job: 'asymmetric clipping diode',
    }),
    D5: diode('1N4148', {
      at: [11, 26],
      turn: 180,
      fit: 'bridged',
      role: 'Place for a diode in series with D3: with the switch at asymmetric, three diodes then clip the upper half waves.',
      job: 'further clipping diode',
    }),
    SW1: switchPart(
      ['a', 'a1', 'a2', 'b', 'b1', 'b2'],
      {
        symmetric: [
          ['a', 'a1'],
          ['b', 'b1'],
        ],
        lifted: [],
        asymmetric: [
          ['a', 'a2'],
          ['b', 'b2'],
        ],
      },
      {
        at: [40, 23],
        role: 'Clipping: one diode for each half wave, none, or one and two.',
        job: 'clipping switch',
      },
    ),
  },
  wires: [
    ['in', 'C2.1'],
    { name: 'gain input', pins: ['C2.2', 'R5.1', 'U1A.plus'] },
    ['R5.2', 'bias'],
    { name: 'gain feedback', pins: ['U1A.minus', 'R4.1', 'R6.1', 'C4.1', 'D1.anode', 'SW1.b'] },
    ['R4.2', 'C3.1'],
    ['R6.2', 'VR1.ccw'],
    {
      name: 'clipped',
      pins: ['U1A.out', 'VR1.wiper', 'VR1.cw', 'C4.2', 'R21.1', 'SW1.a1', 'SW1.a2', 'out'],
    },
    ['D1.cathode', 'D4.anode'],
    ['D4.cathode', 'R20.1'],
    ['R20.2', 'SW1.a'],
    ['R21.2', 'D2.anode'],
    ['D2.cathode', 'D3.anode', 'SW1.b1'],
    ['D3.cathode', 'D5.anode'],
    ['D5.cathode', 'SW1.b2'],
    ['U1A.positive', 'supply'],
    ['C3.2', 'U1A.negative', 'ground'],
  ],
});
