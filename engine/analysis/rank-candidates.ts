import { type Build, type BuildPart, buildParts, type PartSetting } from '../builds/build.ts';
import { BuildError } from '../builds/build-error.ts';
import { parseSettingText, settingText } from '../builds/part-setting.ts';
import { hasType, quantityOf } from '../circuits/part-values.ts';
import { MOST_SETTING_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { inLine, quoted } from '../input/shown-text.ts';
import { typesOf } from '../parts/catalogue.ts';
import { settingGap } from '../parts/data-gaps.ts';
import { type PreferredSeries, stepPreferred } from '../units/preferred-numbers.ts';
import { formatValue, parseValue, type ValueQuantity } from '../units/value-code.ts';

/** Another part that could be soldered at a reference. */
export interface Candidate {
  readonly text: string;
  readonly setting: PartSetting;
  /** What the data of its type lacks to be ranked, in a sentence; it is listed after the others, and can be heard. */
  readonly notRanked?: string;
}

/** Default range: a decade down and up, in coarse steps. */
const DEFAULT_SERIES: PreferredSeries = 'E6';
const DEFAULT_FACTOR = 10;
const SERIES_RANGE = /^(E6|E12|E24|E48|E96|E192)\s+(\S+?)\s*\.\.\s*(\S+)$/i;
/** Most candidates of one list; more are a mistake in the range. */
const MOST_CANDIDATES = 500;

/**
 * Candidates for a reference: a list ("1N34A, 2x 1N4148, not fitted"), a series in a range ("E12 1n..100n"),
 * or, without a text, every type of its kind in the catalogue, or the values of E6 from a tenth to ten times
 * the present one. The present part is not among them. A diode's count, a potentiometer's taper and a piggyback
 * part stay.
 *
 * @throws BuildError naming the part and the text.
 */
export function candidatesFor(build: Build, ref: string, text?: string): readonly Candidate[] {
  const circuit = build.circuit;
  const part = buildParts(circuit).find((candidate) => candidate.ref === ref);
  const present = build.parts[ref];
  if (!part || !present) throw refusal(ref, `${circuit.title} has no part ${inLine(ref, 20)}.`);
  const settings = text === undefined ? allSettings(part, present) : namedSettings(part, present, text);
  const candidates = new Map(settings.map((setting) => [settingText(setting), setting]));
  candidates.delete(settingText(present));
  if (candidates.size === 0)
    throw refusal(ref, `${ref}: there is nothing to try other than the present part.`);
  return [...candidates].map(([text, setting]) => {
    const notRanked = settingGap(part.kind, setting);
    return { text, setting, ...(notRanked !== undefined && { notRanked }) };
  });
}

function allSettings(part: BuildPart, present: PartSetting): readonly PartSetting[] {
  const { fit: _, ...fitted } = present;
  if (hasType(part.kind)) return typesOf(part.kind).map((type) => ({ ...fitted, type }));
  const quantity = quantityOf(part.kind)!;
  const value = parseValue(present.value!, quantity);
  const range = { from: value / DEFAULT_FACTOR, to: value * DEFAULT_FACTOR };
  return seriesValues(DEFAULT_SERIES, range, quantity).map((code) => ({ ...fitted, value: code }));
}

function namedSettings(part: BuildPart, present: PartSetting, text: string): readonly PartSetting[] {
  const range = text.length > MOST_SETTING_CHARACTERS ? null : SERIES_RANGE.exec(text.trim());
  if (!range) {
    const words = text
      .split(',')
      .map((word) => word.trim())
      .filter((word) => word !== '');
    if (words.length > MOST_CANDIDATES)
      throw refusal(
        part.ref,
        `${part.ref}: ${words.length} candidates are too many; ${MOST_CANDIDATES} are the most.`,
      );
    return words.map((word) => parseSettingText(part, word, present));
  }
  const quantity = quantityOf(part.kind);
  if (quantity === undefined) {
    throw refusal(part.ref, `${part.ref} has types, not values: ${quoted(text)} cannot be tried there.`);
  }
  const [, series = '', from = '', to = ''] = range;
  const ends = { from: typedValue(part, from, quantity), to: typedValue(part, to, quantity) };
  if (!(ends.from <= ends.to))
    throw refusal(part.ref, `${part.ref}: the range ${quoted(text)} runs backwards.`);
  const { fit: _, ...fitted } = present;
  return seriesValues(series.toUpperCase() as PreferredSeries, ends, quantity).map((value) => ({
    ...fitted,
    value,
  }));
}

function typedValue({ ref }: BuildPart, text: string, quantity: ValueQuantity): number {
  try {
    return parseValue(text, quantity);
  } catch (error) {
    if (error instanceof Refusal) throw refusal(ref, `${ref}: ${error.message}`);
    throw error;
  }
}

function seriesValues(
  series: PreferredSeries,
  { from, to }: { readonly from: number; readonly to: number },
  quantity: ValueQuantity,
): readonly string[] {
  const codes: string[] = [];
  // The ends of the range must not be lost by rounding.
  let value = stepPreferred(from * 0.999_999, series, 1);
  while (value <= to * 1.000_001 && codes.length < MOST_CANDIDATES) {
    codes.push(formatValue(value, quantity));
    value = stepPreferred(value, series, 1);
  }
  return codes;
}

function refusal(ref: string, message: string): BuildError {
  return new BuildError([{ code: 'bad-part', path: `parts.${ref}`, message }]);
}
