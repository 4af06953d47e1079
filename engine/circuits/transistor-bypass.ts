import { stage } from './circuit.ts';
import { capacitor, diode, nJfet, resistor, switchPart } from './part-spec.ts';

/**
 * Two JFETs ahead of the output buffer: one passes the effect, the other the input buffer. A gate at ground is far below
 * its channel, which is at the bias, so no current flows; a gate whose diode blocks follows its channel.
 */
export const transistorBypassStage = stage({
  id: 'transistor-bypass',
  title: 'Transistor bypass',
  bypass: ['transistor-switched'],
  ports: {
    in: [0, 5],
    out: [32, 10],
    buffered: [3, 22, 'left'],
    supply: 'flags',
    bias: 'flags',
    ground: 'flags',
  },
  parts: {
    C102: capacitor('1u', { at: [5, 5], role: 'Keeps the bias of Q101 off the output knob.' }),
    R102: resistor('1M', { at: [11, 2], turn: 90, labels: 'left', role: 'Holds Q101 at the bias.' }),
    Q101: nJfet('J113', { at: [18, 8], role: 'Passes the effect while it is on.' }),
    D101: diode('1N4148', {
      at: [13, 8],
      turn: 180,
      role: 'Pulls the gate of Q101 down to switch it off, and leaves it alone when on.',
    }),
    C104: capacitor('22n', {
      at: [8, 11],
      turn: 90,
      labels: 'left',
      role: 'With R105 slows the gate of Q101.',
    }),
    R105: resistor('1M', {
      at: [15, 12],
      role: 'With C104 moves the gate of Q101 slowly, so that switching does not click.',
    }),
    R104: resistor('1M', { at: [27, 13], turn: 90, role: 'Holds both transistors at the bias.' }),
    C103: capacitor('1u', { at: [7, 22], role: 'Keeps the DC of the input buffer off Q102.' }),
    R103: resistor('1M', { at: [11, 19], turn: 90, labels: 'left', role: 'Holds Q102 at the bias.' }),
    Q102: nJfet('J113', { at: [18, 25], role: 'Passes the input buffer while bypassed.' }),
    D102: diode('1N4148', {
      at: [13, 25],
      turn: 180,
      role: 'Pulls the gate of Q102 down to switch it off, and leaves it alone when on.',
    }),
    C105: capacitor('22n', {
      at: [8, 28],
      turn: 90,
      labels: 'left',
      role: 'With R106 slows the gate of Q102.',
    }),
    R106: resistor('1M', {
      at: [15, 29],
      role: 'With C105 moves the gate of Q102 slowly, so that switching does not click.',
    }),
    S3: switchPart(
      ['effect', 'effect-on', 'effect-off', 'bypass', 'bypass-off', 'bypass-on'],
      {
        on: [
          ['effect', 'effect-on'],
          ['bypass', 'bypass-off'],
        ],
        bypassed: [
          ['effect', 'effect-off'],
          ['bypass', 'bypass-on'],
        ],
      },
      {
        at: [31, 26],
        role: 'Footswitch: which transistor is on. A pedal has a flip-flop here, which is not in the model.',
      },
    ),
  },
  wires: [
    ['in', 'C102.1'],
    { name: 'effect channel', pins: ['C102.2', 'R102.2', 'Q101.drain'] },
    { name: 'switched', pins: ['Q101.source', 'Q102.source', 'R104.1', 'out'] },
    { name: 'effect gate', pins: ['Q101.gate', 'D101.anode'] },
    ['D101.cathode', 'R105.1', 'C104.1'],
    ['R105.2', 'S3.effect'],
    ['buffered', 'C103.1'],
    { name: 'bypass channel', pins: ['C103.2', 'R103.2', 'Q102.drain'] },
    { name: 'bypass gate', pins: ['Q102.gate', 'D102.anode'] },
    ['D102.cathode', 'R106.1', 'C105.1'],
    ['R106.2', 'S3.bypass'],
    ['S3.effect-on', 'S3.bypass-on', 'supply'],
    ['S3.effect-off', 'S3.bypass-off', 'C104.2', 'C105.2', 'ground'],
    ['R102.1', 'R103.1', 'R104.2', 'bias'],
  ],
});
