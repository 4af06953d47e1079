import {
  evaluateFigure,
  isThermal,
  type PartFigure,
  type PartReader,
  parallelOhms,
} from '../circuits/part-figure.ts';
import { quantityOf } from '../circuits/part-values.ts';
import { temperatureText } from '../network/temperature.ts';
import { findDiode } from '../parts/catalogue.ts';
import { typeForwardVoltage } from '../parts/diode-curve.ts';
import { nearestPreferred, type PreferredSeries, stepPreferred } from '../units/preferred-numbers.ts';
import { formatValue, parseValue, type ValueQuantity } from '../units/value-code.ts';
import type { Build, BuildPart, PartSetting } from './build.ts';

/** Current at which diodes are compared by their forward voltage. */
const DIODE_CURRENT_A = 1e-3;
/** Range in which a value for a wanted figure is searched: 1 Ω to 100 MΩ, 1 pF to 10 mF, 1 nH to 100 H, 1 to 36 V. */
const SEARCH_RANGE: Readonly<Record<ValueQuantity, readonly [number, number]>> = {
  ohms: [1, 1e8],
  farads: [1e-12, 1e-2],
  henries: [1e-9, 100],
  volts: [1, 36],
};
/** Bisections of that range on a logarithmic scale: ten decades to a precision of one millionth. */
const BISECTIONS = 50;

/** Figures that a part changes; the one that it decides most comes first. */
export function figuresOf(build: Build, ref: string): readonly PartFigure[] {
  const rank = ({ parts }: PartFigure) => parts.indexOf(ref);
  return build.circuit.figures.filter(({ parts }) => parts.includes(ref)).sort((a, b) => rank(a) - rank(b));
}

/** A figure of a build, in the figure's unit. @param temperatureK Of the bench. */
export function figureValue(build: Build, figure: PartFigure, temperatureK: number): number {
  return evaluateFigure(figure, readerOf(build, temperatureK));
}

/** Condition of a figure, as it follows the number: " at 27 °C"; empty for a figure that does not depend on temperature. */
export function figureCondition(figure: PartFigure, temperatureK: number): string {
  return isThermal(figure) ? ` at ${temperatureText(temperatureK)}` : '';
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
  const withValue = (value: number): FigureOffer => {
    const offered = { ...single, value: formatValue(value, quantity) };
    return {
      setting: offered,
      figure: figureValue(withPart(build, part.ref, offered), figure, wanted.temperatureK),
    };
  };
  const reader = readerOf(build, wanted.temperatureK);
  const exact = solve(
    (value) => evaluateFigure(figure, readerWith(reader, part.ref, value, quantity)) - wanted.value,
    SEARCH_RANGE[quantity],
  );
  if (exact === undefined) return [];
  const nearest = nearestPreferred(exact, wanted.series);
  const other = stepPreferred(exact, wanted.series, nearest > exact ? -1 : 1);
  const offers = nearest === other ? [nearest] : [nearest, other];
  const miss = (offer: FigureOffer) => Math.abs(offer.figure - wanted.value);
  return offers.map(withValue).sort((a, b) => miss(a) - miss(b));
}

/** Reads the same parts, except one, whose value is not rounded to a printed code. */
function readerWith(reader: PartReader, ref: string, value: number, quantity: ValueQuantity): PartReader {
  const own = (other: string, read: (ref: string) => number) => (other === ref ? value : read(other));
  return {
    ...reader,
    ...(quantity === 'ohms' ? { ohms: (other: string) => own(other, reader.ohms) } : {}),
    ...(quantity === 'farads' ? { farads: (other: string) => own(other, reader.farads) } : {}),
    ...(quantity === 'volts' ? { volts: (other: string) => own(other, reader.volts) } : {}),
  };
}

/** Zero of a function that rises or falls over the range, by bisection on a logarithmic scale; undefined if there is none. */
function solve(f: (value: number) => number, [least, most]: readonly [number, number]): number | undefined {
  let low = least;
  let high = most;
  const atLow = f(low);
  if (!(atLow * f(high) < 0)) return undefined;
  for (let halving = 0; halving < BISECTIONS; halving++) {
    const middle = Math.sqrt(low * high);
    if (f(middle) * atLow > 0) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
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
      : inSeries * typeForwardVoltage(findDiode(name), DIODE_CURRENT_A, temperatureK);
  return Math.min(voltage(type, count), voltage(piggyback, 1));
}
