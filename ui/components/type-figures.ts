import type { BuildPart } from '../../engine/builds/build.ts';
import { hasType } from '../../engine/circuits/part-values.ts';
import { bjtDataAt } from '../../engine/devices/bipolar.ts';
import { fetDataAt } from '../../engine/devices/field-effect.ts';
import type { CommonModeRange } from '../../engine/devices/opamp-data.ts';
import { temperatureText } from '../../engine/network/temperature.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import type { OpampEntry, PartKind } from '../../engine/parts/catalogue-entry.ts';
import { isSourced } from '../../engine/parts/curve-points.ts';
import { opampNoise } from '../../engine/parts/device-noise.ts';
import { reverseVoltage, typeForwardVoltage } from '../../engine/parts/diode-curve.ts';
import { bjtEntry, converterEntry, diodeEntry, fetEntry, opampEntry } from '../../engine/parts/part-types.ts';
import { opampSwingV, openBaseLeakA } from '../../engine/parts/type-figure.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';

/** A type with its main figures, for the menu. */
export interface OfferedType {
  readonly type: string;
  readonly family: string;
  /** The most important figure, short enough for a menu. */
  readonly figure: string;
  readonly figures: string;
  readonly status: string;
}

/** The types of a part, with their figures at a temperature, K. */
export function offeredTypes(kind: BuildPart['kind'], temperatureK: number): readonly OfferedType[] {
  if (!hasType(kind)) return [];
  const last = offered.get(kind);
  if (last?.temperatureK === temperatureK) return last.types;
  const types = typesOf(kind).map((type) => offeredType(kind, type, temperatureK));
  offered.set(kind, { temperatureK, types });
  return types;
}

/** One type, or piece, with its figures. */
export function offeredType(kind: PartKind, type: string, temperatureK: number): OfferedType {
  return { type, ...describe(kind, type, temperatureK) };
}

/** The last menu of each kind: the figures of fifty diodes take milliseconds, and each drawing of the card needs them. */
const offered = new Map<
  PartKind,
  { readonly temperatureK: number; readonly types: readonly OfferedType[] }
>();

function describe(kind: PartKind, type: string, temperatureK: number): Omit<OfferedType, 'type'> {
  const here = `At ${temperatureText(temperatureK)}: `;
  switch (kind) {
    case 'diode': {
      const entry = diodeEntry(type);
      const { family, status, reverse } = entry;
      const voltsAt = (amps: number) => typeForwardVoltage(entry, amps, temperatureK);
      const volts = [1e-5, 1e-4, 1e-3].map((amps) => voltsAt(amps).toFixed(2));
      // Around 100 µA, where clippers work.
      const slope = 1000 * (voltsAt(10 ** -3.5) - voltsAt(10 ** -4.5));
      const backwards = reverse
        ? `; backwards ${reverseVoltage(reverse, 1e-3, temperatureK).toFixed(2)} V at 1 mA`
        : '';
      return {
        family,
        status,
        figure: `${volts[2]} V`,
        figures: `${here}${volts.join(' / ')} V at 10 µA / 100 µA / 1 mA, +${slope.toFixed(0)} mV per 10x current${backwards}`,
      };
    }
    case 'opamp': {
      const entry = opampEntry(type);
      const { family, data, status, amplifiersPerPackage, inputClamp, classBOutput } = entry;
      const volts = opampNoise(entry)?.voltageAt1kHzVPerRtHz;
      const noise = volts === undefined ? '' : `, ${Number((1e9 * volts).toPrecision(3))} nV/√Hz`;
      const adapter = amplifiersPerPackage === 1 ? '; single: two on an adapter' : '';
      const clamped = inputClamp ? '; diodes between its inputs' : '';
      const crossing = classBOutput ? '; output with crossover, heavy to play live' : '';
      const range = inputRangeText(data.commonMode);
      const slew = data.slewVPerS / 1e6;
      const bandwidth = data.gainBandwidthHz / 1e6;
      const swing = `to ${data.headroomLowV} V and ${data.headroomHighV} V of its rails${underLoadText(entry)}`;
      return {
        family,
        status,
        figure: `${slew} V/µs, ${bandwidth} MHz`,
        figures: `${slew} V/µs, ${bandwidth} MHz, swings ${swing}${noise}${range}${clamped}${crossing}${adapter}`,
      };
    }
    case 'converter': {
      const { family, title, status, maxSupplyV, outputOhms, oscillatorHz, boostedOscillatorHz } =
        converterEntry(type);
      const boost =
        boostedOscillatorHz === undefined
          ? 'in the audio band'
          : `${boostedOscillatorHz / 1000} kHz with boost`;
      return {
        family,
        status,
        figure: `to ${maxSupplyV} V`,
        figures: `${title}; works to ${maxSupplyV} V, ${outputOhms} ohm, pumps at ${oscillatorHz / 1000} kHz, ${boost}`,
      };
    }
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet': {
      const { family, data, status } = fetEntry(type);
      const { thresholdV } = fetDataAt(data, kind, temperatureK);
      // As sheets print it, with the sign that the gate has.
      const volts = `${(kind === 'pJfet' ? -thresholdV : thresholdV).toFixed(2)} V`;
      return { family, status, figure: volts, figures: `${here}threshold ${volts}` };
    }
    case 'npn':
    case 'pnp': {
      const { family, data, status } = bjtEntry(type);
      const moved = bjtDataAt(data, temperatureK);
      const gain = moved.forwardBeta.toFixed(0);
      const openA = openBaseLeakA(moved);
      const leak = openA < LEAST_LEAK_A ? '' : `, leaks ${quantityText(openA, 'A')} with its base open`;
      return { family, status, figure: `gain ${gain}`, figures: `${here}current gain ${gain}${leak}` };
    }
  }
}

/** A leak below this is no figure of a card: silicon has nanoamperes. */
const LEAST_LEAK_A = 1e-6;

/** Load in which the swing of op-amps is compared, ohms, and the supply of such figures in sheets, V each way. */
const [COMPARED_OHMS, SHEET_V] = [2000, 15] as const;

/** What a load of 2 kΩ leaves of the swing, and the most current. */
function underLoadText(entry: OpampEntry): string {
  const { output, maxSupplyV } = entry;
  if (!output) return '';
  const supplyV = Math.min(SHEET_V, maxSupplyV / 2);
  const [free, loaded] = [undefined, COMPARED_OHMS].map((ohms) =>
    opampSwingV(entry, supplyV, ohms).toFixed(1),
  );
  const mostMa = (1000 * Math.min(output.sourceA, output.sinkA)).toFixed(0);
  const doubt = isSourced(output.source) ? '' : ', partly an estimate or from memory';
  return ` (into 2 kΩ ${loaded} V instead of ${free} V on ±${supplyV} V, at most ${mostMa} mA${doubt})`;
}

function inputRangeText(range: CommonModeRange | undefined): string {
  if (!range) return '';
  const turn = range.reverses ? ', below which the output reverses' : '';
  return `; inputs to ${range.headroomLowV} V and ${range.headroomHighV} V of its rails${turn}`;
}
