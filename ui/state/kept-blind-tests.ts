import { readJson } from '../../engine/input/json.ts';
import { keptTexts } from '../storage/kept-texts.ts';
import type { KeptBlindTest } from './ear-state.ts';

const NAME = 'blind-tests';
/** Older ones make room; each takes some ten kilobytes with both its builds. */
const MOST_KEPT = 50;

/** The stored results, newest first, without damaged ones. */
export function loadBlindTests(): readonly KeptBlindTest[] {
  const kept = readJson(keptTexts.read(NAME) ?? '');
  return Array.isArray(kept) ? kept.filter(isKeptTest) : [];
}

/** Stores the list, shortened; if the browser stores nothing, it lasts for this visit. */
export function saveBlindTests(results: readonly KeptBlindTest[]): void {
  keptTexts.keep(NAME, JSON.stringify(results.slice(0, MOST_KEPT)));
}

function isKeptTest(entry: unknown): entry is KeptBlindTest {
  const { finishedAt, title, sentences, json, text } = (entry ?? {}) as Partial<KeptBlindTest>;
  const areTexts = [finishedAt, title, json, text].every((each) => typeof each === 'string');
  return areTexts && Array.isArray(sentences) && sentences.every((each) => typeof each === 'string');
}
