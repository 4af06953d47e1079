import type { KeptBlindTest } from './ear-state.ts';

const KEY = 'cliplead-blind-tests';
/** Older ones make room; each takes some ten kilobytes with both its builds. */
const MOST_KEPT = 50;

/** What was kept, newest first; what is not whole is left out. */
export function loadBlindTests(): readonly KeptBlindTest[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEY) ?? '[]');
    return Array.isArray(kept) ? kept.filter(isKeptTest) : [];
  } catch {
    return [];
  }
}

/** Keeps the list, shortened; where the browser keeps nothing, it lasts for this visit. */
export function saveBlindTests(results: readonly KeptBlindTest[]): void {
  try {
    localStorage.setItem(KEY, JSON.stringify(results.slice(0, MOST_KEPT)));
  } catch {
    // Storage is full or forbidden: the result can still be saved as a file.
  }
}

function isKeptTest(entry: unknown): entry is KeptBlindTest {
  const { finishedAt, title, sentences, json, text } = (entry ?? {}) as Partial<KeptBlindTest>;
  const areTexts = [finishedAt, title, json, text].every((each) => typeof each === 'string');
  return areTexts && Array.isArray(sentences) && sentences.every((each) => typeof each === 'string');
}
