import type { DeviceModel } from './device-model.ts';
import type { NodeName } from './node.ts';
import { thermalNoise } from './noise.ts';
import type { PrimitiveBase } from './origin.ts';

/**
 * Charge-pump converter, averaged over its cycle: an ideal DC transformer with an output resistance. It draws
 * `ratio` times its output current from its supply.
 *
 *   i = (ratio·v_supply − v_out)/R        into `out` flows i, out of `supply` ratio·i
 */
export interface Converter extends PrimitiveBase {
  readonly kind: 'converter';
  readonly nodes: readonly [supply: NodeName, out: NodeName];
  readonly ratio: number;
  readonly outputOhms: number;
  /** The pump capacitor, where it is a part of the circuit, and how much of R is that of its charge: 1/(f·C), ohms. */
  readonly pump?: { readonly ref: string; readonly ohms: number };
}

/** A converter in the netlist, as in the equation above; nodes are supply and out. */
type ConverterWords = {
  /** Of the output's to the supply's voltage, V/V. */
  readonly ratio: number;
  /** R, ohms. */
  readonly outputOhms: number;
};

const [SUPPLY, OUT] = [0, 1];

/** Linear: the solver treats it as a branch with a ratio; a resistor is such a branch with ratio 1. */
export const CONVERTER: DeviceModel<Converter> = {
  parameters: ['outputOhms'],
  numbersOf: ({ outputOhms }) => [outputOhms],
  structureOf: ({ ratio }) => `${ratio}`,
  dcPaths: [[SUPPLY, OUT]],
  carriesOneCurrent: () => false,
  // Its branch with a ratio is known to the solver.
  conductanceBounds: () => [],
  // Its drift is far below that of a junction.
  atTemperature: (converter) => converter,
  netlistWords: ({ ratio, outputOhms }): ConverterWords => ({ ratio, outputOhms }),
  // Ripple is not modelled.
  noiseSources: ({ ratio, outputOhms }, { temperatureK }) => [
    thermalNoise(outputOhms, temperatureK, [
      [SUPPLY, -ratio / outputOhms],
      [OUT, 1 / outputOhms],
    ]),
  ],
  ports: [],
};
