import type { Build, BuildPart, PartSetting } from '../builds/build.ts';
import { BuildError } from '../builds/build-error.ts';
import { type DrawerItem, isCovered, ownedValues } from '../builds/drawer.ts';
import { type PartSettings, readParts, refsText, settingsText, withSettings } from '../builds/part-groups.ts';
import { isSameSetting, parseSettingText, withType, withValue } from '../builds/part-setting.ts';
import { piecesOf } from '../builds/pieces.ts';
import { hasType, quantityOf } from '../circuits/part-values.ts';
import { MOST_SETTING_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { typesOf } from '../parts/catalogue.ts';
import { settingGap } from '../parts/data-gaps.ts';
import { pieceText } from '../parts/piece.ts';
import { type PreferredSeries, stepPreferred } from '../units/preferred-numbers.ts';
import { formatValue, parseValue, type ValueQuantity } from '../units/value-code.ts';

/** What could be soldered instead at one place, or at several together. */
export interface Candidate {
  /** In a few words: "OA91", "2x 1N4148". */
  readonly text: string;
  /** At each place. */
  readonly settings: PartSettings;
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
 * Candidates for one part, or for several that are swapped together: a list ("1N34A, 2x 1N4148, not fitted"), a series in
 * a range ("E12 1n..100n"), or, without a text, every type of its kind in the catalogue, or the values of E6 from a tenth
 * to ten times the present one. The present part is not among them. A diode's count, a potentiometer's taper and a
 * piggyback part stay: each place keeps its own.
 *
 * @param refs The places, all of one kind. @param owned Only what these bags hold, as often as the build needs it; the values are
 * then those of the bags. @throws BuildError naming the part and the text.
 */
export function candidatesFor(
  build: Build,
  refs: readonly string[],
  text?: string,
  owned?: readonly DrawerItem[],
): readonly Candidate[] {
  const parts = readParts(build, refs.join(','));
  const all = text === undefined ? allWords(build, parts[0]!, build.parts[refs[0]!]!, owned) : undefined;
  const lists = parts.map((part) => {
    const present = build.parts[part.ref]!;
    return all
      ? all.map((word) => withWord(part, present, word))
      : namedSettings(build, part, present, text!);
  });
  // By the whole settings: two measured pieces can have one name.
  const candidates = new Map<string, PartSettings>();
  // The lists have one order, so what stands at one index of each is one candidate.
  for (const index of lists[0]!.keys()) {
    const settings = Object.fromEntries(refs.map((ref, place) => [ref, lists[place]![index]!]));
    const isOther = refs.some((ref) => !isSameSetting(settings[ref]!, build.parts[ref]!));
    if (isOther && (!owned || isCovered(owned, withSettings(build, settings), refs)))
      candidates.set(JSON.stringify(settings), settings);
  }
  if (candidates.size === 0)
    throw refusal(
      refs.join(','),
      owned
        ? `You own no other part to try at ${refsText(refs)}.`
        : `${refsText(refs)}: there is nothing to try other than what is there.`,
    );
  return [...candidates.values()].map((settings) => {
    const notRanked = parts
      .map(({ ref, kind }) => settingGap(kind, settings[ref]!))
      .find((gap) => gap !== undefined);
    return { text: settingsText(settings, refs), settings, ...(notRanked !== undefined && { notRanked }) };
  });
}

/** Every type of the part's kind, or values about the present one. */
function allWords(
  build: Build,
  part: BuildPart,
  present: PartSetting,
  owned?: readonly DrawerItem[],
): readonly string[] {
  if (hasType(part.kind)) return [...typesOf(part.kind), ...ownPieces(build, part)];
  const quantity = quantityOf(part.kind)!;
  const value = parseValue(present.value!, quantity);
  const range = { from: value / DEFAULT_FACTOR, to: value * DEFAULT_FACTOR };
  return owned ? ownedValues(owned, part.kind, range) : seriesValues(DEFAULT_SERIES, range, quantity);
}

function withWord(part: BuildPart, { fit: _, ...fitted }: PartSetting, word: string): PartSetting {
  return hasType(part.kind) ? withType(fitted, word) : withValue(fitted, word);
}

/** Pieces that the builder has measured, of the part's kind. */
function ownPieces(build: Build, { kind }: BuildPart): readonly string[] {
  return piecesOf(build)
    .filter((piece) => piece.kind === kind)
    .map(pieceText);
}

function namedSettings(
  build: Build,
  part: BuildPart,
  present: PartSetting,
  text: string,
): readonly PartSetting[] {
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
    return words.map((word) => parseSettingText(part, word, present, piecesOf(build)));
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
  return seriesValues(series.toUpperCase() as PreferredSeries, ends, quantity).map((value) =>
    withValue(fitted, value),
  );
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
