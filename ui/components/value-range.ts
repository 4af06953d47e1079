import type { BuildPart, PartSetting } from '../../engine/builds/build.ts';
import { withValue } from '../../engine/builds/part-setting.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import {
  nearestPreferred,
  type PreferredSeries,
  preferredValues,
} from '../../engine/units/preferred-numbers.ts';
import { formatValue, parseValue } from '../../engine/units/value-code.ts';

/** Decades of a dial below and above the starting value: everything that anyone would try. */
const DECADES = 1.5;

/** A dial over the values of a series around the one that a build started with. */
export interface ValueRange {
  /** Steps of the series from one end to the other. */
  readonly steps: number;
  /** Position of a setting, 0 to `steps`. */
  readonly positionOf: (setting: PartSetting) => number;
  readonly settingAt: (position: number, setting: PartSetting) => PartSetting;
}

/** Undefined for a part that has no value, and for a supply, which comes in no series. */
export function valueRange(
  { kind }: Pick<BuildPart, 'kind'>,
  initial: PartSetting,
  series: PreferredSeries,
): ValueRange | undefined {
  const quantity = quantityOf(kind);
  if (!quantity || kind === 'supply' || initial.value === undefined) return undefined;
  const perDecade = preferredValues(series).length;
  const steps = Math.round(2 * DECADES * perDecade);
  const lowest = parseValue(initial.value, quantity) / 10 ** DECADES;
  return {
    steps,
    positionOf: ({ value }) => {
      if (value === undefined) return 0;
      const position = Math.round(Math.log10(parseValue(value, quantity) / lowest) * perDecade);
      return Math.min(Math.max(position, 0), steps);
    },
    settingAt: (position, setting) => {
      const value = nearestPreferred(lowest * 10 ** (position / perDecade), series);
      return withValue(setting, formatValue(value, quantity));
    },
  };
}
