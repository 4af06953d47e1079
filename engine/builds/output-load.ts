import { GROUND } from '../devices/node.ts';
import { ofPart } from '../devices/origin.ts';
import { compose } from '../network/compose.ts';
import type { Network } from '../network/network.ts';
import { CABLE_FARADS_PER_METRE } from './instrument.ts';

/** Everything between the pedal's output and what comes next. */
export interface OutputLoad {
  readonly input: NextInput;
  readonly cableMetres: number;
}

export type NextInput = 'amplifier' | 'pedal' | 'line';

/** The input that the cable ends in. */
export interface NextInputData {
  readonly title: string;
  /** With its article, for a sentence. */
  readonly phrase: string;
  readonly ohms: number;
  readonly farads: number;
}

/**
 * Common practice, no source: amplifiers and instrument sockets have 1 MΩ, pedals with a buffer about half of it, line inputs
 * 10 kΩ. The capacitance is an estimate: a triode's grid with its wiring has about 100 pF.
 */
export const NEXT_INPUTS: Readonly<Record<NextInput, NextInputData>> = {
  amplifier: { title: 'amplifier', phrase: 'an amplifier', ohms: 1e6, farads: 100e-12 },
  pedal: { title: 'another pedal', phrase: 'another pedal', ohms: 500e3, farads: 30e-12 },
  line: { title: 'line input', phrase: 'a line input', ohms: 10e3, farads: 100e-12 },
};

export const USUAL_OUTPUT_LOAD: OutputLoad = { input: 'amplifier', cableMetres: 6 };

/** In words: "3 m of cable into an amplifier". */
export function outputLoadText({ input, cableMetres }: OutputLoad): string {
  return `${cableMetres}\u00a0m of cable into ${NEXT_INPUTS[input].phrase}`;
}

/** The primitive that stands for the next input where no load is stated. */
export const STAND_IN_LOAD = 'load';

/**
 * The network with a cable at its output and the next input at the cable's end. The cable is a capacitor: its resistance and
 * inductance do nothing below 20 kHz.
 */
export function withOutputLoad(network: Network, load: OutputLoad): Network {
  const pedal = {
    ...network,
    primitives: network.primitives.filter(({ origin }) => origin.ref !== STAND_IN_LOAD),
  };
  return compose(
    [
      { id: '', network: pedal },
      { id: 'after', network: loadNetwork(load, network.temperatureK) },
    ],
    [
      [
        { unit: '', net: pedal.output },
        { unit: 'after', net: 'plug' },
      ],
    ],
    { input: { unit: '', net: pedal.input }, output: { unit: '', net: pedal.output } },
  ).network;
}

function loadNetwork({ input, cableMetres }: OutputLoad, temperatureK: number): Network {
  const { ohms, farads } = NEXT_INPUTS[input];
  return {
    input: 'plug',
    output: 'plug',
    rails: [],
    temperatureK,
    primitives: [
      {
        kind: 'capacitor',
        ...ofPart('cable'),
        nodes: ['plug', GROUND],
        farads: cableMetres * CABLE_FARADS_PER_METRE + farads,
      },
      { kind: 'resistor', ...ofPart('input'), nodes: ['plug', GROUND], ohms },
    ],
  };
}
