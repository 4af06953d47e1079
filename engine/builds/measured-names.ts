import { aKind } from '../circuits/part-values.ts';
import { quoted } from '../input/shown-text.ts';
import type { BuildPart, PartSetting } from './build.ts';
import { BuildError } from './build-error.ts';
import { fitsPlace, type MeasuredPart, settingWith } from './measured-parts.ts';
import { settingText } from './part-setting.ts';

/** Names that are listed where none is the one that was typed. */
const MOST_NAMES_TOLD = 3;

/**
 * What stands at a place with the measured part that a typed text names: "my blue one", or "9k87 (my blue one)". Upper and
 * lower case are the same.
 *
 * @returns Undefined where no measured part has that name. @throws BuildError naming the place where it cannot stand there, or
 * several parts have the name.
 */
export function namedSetting(
  place: Pick<BuildPart, 'ref' | 'kind'>,
  text: string,
  current: PartSetting,
  measured: readonly MeasuredPart[],
): PartSetting | undefined {
  const { ref, kind } = place;
  const named = measured.filter(
    (part) => isSame(text, part.name) || isSame(text, settingText(settingWith(part, {}))),
  );
  const [fitting, ...more] = named.filter((part) => fitsPlace(part, place));
  if (fitting && more.length === 0) return settingWith(fitting, current);
  if (fitting)
    throw refused(
      ref,
      `${ref}: ${more.length + 1} measured parts are called ${quoted(text.trim())}. Put one there under “Measured parts…”.`,
    );
  const [other] = named;
  if (other)
    throw refused(
      ref,
      `${ref}: ${quoted(other.name)} is ${aKind(other.kind)}, and this place needs ${aKind(kind)}.`,
    );
  return undefined;
}

/** What to add to a refusal of a text that may have been meant as a name; empty where no measured part can stand there. */
export function namesThere(place: Pick<BuildPart, 'kind'>, measured: readonly MeasuredPart[]): string {
  const names = measured.filter((part) => fitsPlace(part, place)).map(({ name }) => quoted(name));
  if (names.length === 0) return '';
  const told = names.slice(0, MOST_NAMES_TOLD).join(', ');
  const more = names.length > MOST_NAMES_TOLD ? ` and ${names.length - MOST_NAMES_TOLD} more` : '';
  return ` No measured part has that name; you have ${told}${more}.`;
}

const isSame = (one: string, other: string): boolean =>
  one.trim().toLowerCase() === other.trim().toLowerCase();

function refused(ref: string, message: string): BuildError {
  return new BuildError([{ code: 'bad-part', path: `parts.${ref}`, message }]);
}
