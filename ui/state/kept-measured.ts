import { type MeasuredPart, parseMeasured, serialiseMeasured } from '../../engine/builds/measured-parts.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { keptTexts } from '../storage/kept-texts.ts';

const NAME = 'measured-parts';
/** What could not be read is put here before the sound parts are stored over it. */
const UNREAD_NAME = 'measured-parts-unread';

/** The parts that were measured on earlier visits; those that are sound. */
export function loadMeasured(): readonly MeasuredPart[] {
  const text = keptTexts.read(NAME);
  if (text === undefined) return [];
  try {
    const { parts, problems } = parseMeasured(text);
    if (problems.length > 0) keptTexts.keep(UNREAD_NAME, text);
    return parts;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    keptTexts.keep(UNREAD_NAME, text);
    return [];
  }
}

/** The text of a visit whose parts could not all be read; undefined if there is none. */
export function unreadMeasured(): string | undefined {
  return keptTexts.read(UNREAD_NAME);
}

export function forgetUnread(): void {
  keptTexts.keep(UNREAD_NAME, undefined);
}

let last: readonly MeasuredPart[] | undefined;

/** Stores the parts; the text is made only for a list that is another one. */
export function saveMeasured(parts: readonly MeasuredPart[]): void {
  if (parts === last || (parts.length === 0 && keptTexts.read(NAME) === undefined)) return;
  last = parts;
  keptTexts.keep(NAME, parts.length === 0 ? undefined : serialiseMeasured(parts));
}
