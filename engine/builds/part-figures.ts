import {
  evaluateFigure,
  isThermal,
  type PartFigure,
  type PartReader,
  parallelOhms,
} from '../circuits/part-figure.ts';
import { quantityOf } from '../circuits/part-values.ts';
import { temperatureText } from '../network/temperature.ts';
import { typeForwardVoltage } from '../parts/diode-curve.ts';
import { diodeEntry } from '../parts/part-types.ts';
import { nearestPreferred, type PreferredSeries, stepPreferred } from '../units/preferred-numbers.ts';
import { formatValue, parseValue, type ValueQuantity } from '../units/value-code.ts';
import type { Build, BuildPart, PartSetting } from './build.ts';
import { isOfNetwork, networkFigure } from './network-figure.ts';
import { withValue } from './part-setting.ts';

/** Current at which diodes are compared by their forward voltage. */
const DIODE_CURRENT_A = 1e-3;
/** Range in which a value for a wanted figure is searched: 1 Ω to 100 MΩ, 1 pF to 10 mF, 1 nH to 100 H, 1 to 36 V. */
const SEARCH_RANGE: Readonly<Record<ValueQuantity, readonly [number, number]>> = {
  ohms: [1, 1e8],
  farads: [1e-12, 1e-2],
  henries: [1e-9, 100],
  volts: [1, 36],
};

/** Figures that a part changes; the one that it decides most comes first. */
export function figuresOf(build: Build, ref: string): readonly PartFigure[] {
  const rank = ({ parts }: PartFigure) => parts.indexOf(ref);
  return build.circuit.figures.filter(({ parts }) => parts.includes(ref)).sort((a, b) => rank(a) - rank(b));
}

/**
 * A figure of a build, in the figure's unit: from its whole network, or from its parts alone where the circuit does not
 * say at which nets the network shows it. @param temperatureK Of the bench.
 */
export function figureValue(build: Build, figure: PartFigure, temperatureK: number): number {
  return networkFigure(build, figure, temperatureK) ?? evaluateFigure(figure, readerOf(build, temperatureK));
}

/** What holds for a figure's number, as it follows the number: " at 27 °C", " (these parts alone)"; empty if nothing does. */
export function figureCondition(figure: PartFigure, temperatureK: number): string {
  if (isThermal(figure)) return ` at ${temperatureText(temperatureK)}`;
  return isOfNetwork(figure) ? '' : ' (these parts alone)';
}

/** The same build with one part changed. */
export function withPart(build: Build, ref: string, setting: PartSetting): Build {
  return { ...build, parts: { ...build.parts, [ref]: setting } };
}

/** Two neighbouring values of a series, and the figure that each gives. */
export interface FigureOffer {
  readonly setting: PartSetting;
  readonly figure: number;
}

/**
 * Values of a series that bring a figure nearest to the wanted number: one below and one above, the nearest
 * first. Empty if no value of the part gives the figure.
 *
 * @param wanted In the figure's unit, at the bench's temperature.
 */
export function settingsFor(
  build: Build,
  part: Pick<BuildPart, 'ref' | 'kind'>,
  figure: PartFigure,
  wanted: { readonly value: number; readonly series: PreferredSeries; readonly temperatureK: number },
): readonly FigureOffer[] {
  const quantity = quantityOf(part.kind);
  const setting = build.parts[part.ref];
  if (!quantity || !setting) return [];
  const { fit: _fit, piggyback: _second, ...single } = setting;
  const offerOf = (value: number): FigureOffer => {
    const offered = withValue(single, formatValue(value, quantity));
    return {
      setting: offered,
      figure: figureValue(withPart(build, part.ref, offered), figure, wanted.temperatureK),
    };
  };
  const miss = (offer: FigureOffer) => offer.figure - wanted.value;
  const values = valuesOf(wanted.series, SEARCH_RANGE[quantity]);
  return neighbours(values, (value) => miss(offerOf(value)))
    .map(offerOf)
    .sort((a, b) => Math.abs(miss(a)) - Math.abs(miss(b)));
}

/** The values of a series in a range. */
function valuesOf(series: PreferredSeries, [least, most]: readonly [number, number]): readonly number[] {
  const values: number[] = [];
  for (
    let value = nearestPreferred(least, series);
    value <= most * 1.001;
    value = stepPreferred(value, series, 1)
  )
    values.push(value);
  return values;
}

/** The values on both sides of the zero of a function that rises or falls over them; one if it is zero there; none if there is no zero. */
function neighbours(values: readonly number[], f: (value: number) => number): readonly number[] {
  let low = 0;
  let high = values.length - 1;
  const sign = Math.sign(f(values[low]!));
  if (!(sign * f(values[high]!) < 0)) return [];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    const reached = f(values[middle]!);
    if (reached === 0) return [values[middle]!];
    if (sign * reached > 0) low = middle;
    else high = middle;
  }
  return [values[low]!, values[high]!];
}

function readerOf({ parts, switches }: Build, temperatureK: number): PartReader {
  const setting = (ref: string): PartSetting => parts[ref] ?? {};
  const read = (ref: string, quantity: ValueQuantity): readonly number[] => {
    const { value, piggyback } = setting(ref);
    return [value, piggyback].flatMap((code) => (code === undefined ? [] : [parseValue(code, quantity)]));
  };
  return {
    ohms: (ref) => {
      const { fit } = setting(ref);
      if (fit !== undefined) return fit === 'open' ? Number.POSITIVE_INFINITY : 0;
      return read(ref, 'ohms').reduce(parallelOhms);
    },
    farads: (ref) => {
      const { fit } = setting(ref);
      if (fit !== undefined) return fit === 'open' ? 0 : Number.POSITIVE_INFINITY;
      return read(ref, 'farads').reduce((a, b) => a + b);
    },
    volts: (ref) => read(ref, 'volts')[0] ?? 0,
    forwardV: (ref) => forwardV(setting(ref), temperatureK),
    position: (name) => switches[name] ?? '',
  };
}

/** Forward voltage of a string, or of the one of two parallel strings that conducts first. */
function forwardV({ type, count = 1, fit, piggyback }: PartSetting, temperatureK: number): number {
  if (fit !== undefined) return fit === 'open' ? Number.POSITIVE_INFINITY : 0;
  const voltage = (name: string | undefined, inSeries: number) =>
    name === undefined
      ? Number.POSITIVE_INFINITY
      : inSeries * typeForwardVoltage(diodeEntry(name), DIODE_CURRENT_A, temperatureK);
  return Math.min(voltage(type, count), voltage(piggyback, 1));
}
