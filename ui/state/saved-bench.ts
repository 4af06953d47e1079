import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { readJson } from '../../engine/input/json.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { allKeptTexts, keptTexts } from '../storage/kept-texts.ts';
import type { BenchState, Builds } from './bench-state.ts';
import { type KeptSettings, readSettings, settingsToKeep } from './kept-settings.ts';
import { withPresetStart } from './presets.ts';

const NAME = 'bench';

/** The bench of an earlier visit: valid, or a text with unreadable builds. */
export type SavedBench =
  | { readonly kind: 'whole'; readonly builds: Builds; readonly settings: Partial<KeptSettings> }
  | { readonly kind: 'broken'; readonly reason: string; readonly text: string };

/** Stores the bench, if the browser stores anything. */
export function saveBench(state: BenchState): void {
  const { a } = state.builds;
  // A candidate is in B only as long as it is tried.
  const { candidates } = state.ear;
  const b = candidates?.at === undefined ? state.builds.b : candidates.before;
  // The match of a candidate is none of the build that is kept.
  const settings = settingsToKeep({ ...state, builds: { a, b } });
  const kept = { a: serialiseBuild(a), b: serialiseBuild(b), ...settings };
  keptTexts.keep(NAME, JSON.stringify(kept));
}

/** What the browser has of the bench just now, whichever tab kept it. */
export function keptBench(): string | undefined {
  return allKeptTexts().get(`cliplead-${NAME}`);
}

/** The stored bench; undefined if there is none. Both builds are used or neither. */
export function loadBench(): SavedBench | undefined {
  const text = keptTexts.read(NAME);
  if (text === undefined) return undefined;
  try {
    return readBench(text);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { kind: 'broken', reason: error.message, text };
  }
}

/** @throws Refusal saying what is broken. */
function readBench(text: string): SavedBench {
  const saved = readJson(text);
  if (typeof saved !== 'object' || saved === null) throw new Refusal('storage', 'it is not a saved bench');
  const { a, b } = saved as Record<string, unknown>;
  if (typeof a !== 'string' || typeof b !== 'string')
    throw new Refusal('storage', 'it does not hold two builds');
  const builds = { a: withPresetStart(parseBuildFile(a)), b: withPresetStart(parseBuildFile(b)) };
  return { kind: 'whole', builds, settings: readSettings(saved as Record<string, unknown>) };
}
