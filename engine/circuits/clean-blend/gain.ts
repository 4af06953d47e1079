import { stage } from '../circuit.ts';
import { capacitor, diode, opamp, pot, resistor } from '../part-spec.ts';

/** High gain, then a resistor and germanium diodes to the bias: hard clipping. */
export const gainStage = stage({
  id: 'gain',
  title: 'Gain and clipping',
  ports: { in: [0, 8], out: [71, 10], supply: 'flags', bias: 'flags', ground: 'flags', clean: [2, 5, 'up'] },
  parts: {
    C2: capacitor('47n', { at: [8, 8], role: 'Lets the highs and mids into the gain stage.' }),
    C3: capacitor('470n', { at: [6, 13], role: 'Lets the low end in, as far as VR4 allows.' }),
    VR4: pot('50k', 'linear', {
      at: [13, 13],
      turn: 90,
      role: 'Bass: how much low end is clipped. Jumpered: all of it; not fitted: the least.',
    }),
    R3: resistor('22k', {
      at: [18, 11],
      turn: 90,
      role: 'Biases the gain stage; with C2 sets its bass corner.',
    }),
    U1B: opamp('U1', { at: [30, 9], role: 'Amplifies the path that is clipped.' }),
    R4: resistor('2k2', {
      at: [27, 15],
      turn: 90,
      labels: 'left',
      role: 'With R5 and VR1A sets the gain, with C4 its bass corner.',
    }),
    C4: capacitor('220n', {
      at: [27, 19],
      turn: 90,
      labels: 'left',
      role: 'With R4 sets the corner below which the gain falls to one.',
    }),
    R5: resistor('15k', { at: [33, 14], role: 'Sets the least gain, with VR1A at zero.' }),
    VR1A: pot('100k', 'linear', { at: [40, 14], turn: 90, role: 'Gain of the clipped path.' }),
    C5: capacitor('100p', { at: [36, 18], role: 'With the feedback resistance rolls off the highs.' }),
    C6: capacitor('1u', { at: [42, 9], role: 'Keeps the DC of the gain stage off the diodes.' }),
    R6: resistor('1k', {
      at: [48, 9],
      role: 'What the diodes clip against: less resistance, harder clipping.',
    }),
    D1: diode('1N34A', { at: [56, 12], turn: 90, role: 'Clips the half waves above the bias.' }),
    D2: diode('1N34A', { at: [64, 12], turn: 270, role: 'Clips the half waves below the bias.' }),
    R7: resistor('47k', {
      at: [53, 12],
      turn: 90,
      labels: 'left',
      role: 'Holds the clipped path at the bias.',
    }),
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
    { name: 'clipped', pins: ['R6.2', 'D1.anode', 'D2.cathode', 'R7.1', 'out'] },
    ['R3.2', 'C4.2', 'D1.cathode', 'D2.anode', 'R7.2', 'bias'],
    ['U1B.positive', 'supply'],
    ['U1B.negative', 'ground'],
  ],
});
