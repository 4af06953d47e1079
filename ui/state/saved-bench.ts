import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { readJson } from '../../engine/input/json.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { allKeptTexts, keptTexts } from '../storage/kept-texts.ts';
import type { BenchState } from './bench-state.ts';
import { sidesBefore } from './candidate-run.ts';
import type { Sides } from './chains.ts';
import { placeToKeep, readPlace } from './kept-places.ts';
import { fieldOf, type KeptSettings, readSettings, settingsToKeep } from './kept-settings.ts';
import { withPresetStart } from './presets.ts';

const NAME = 'bench';

/** The bench of an earlier visit: valid, or a text with unreadable builds. */
export type SavedBench =
  | ({ readonly kind: 'whole'; readonly settings: Partial<KeptSettings> } & Sides)
  | { readonly kind: 'broken'; readonly reason: string; readonly text: string };

/** Stores the bench, if the browser stores anything. */
export function saveBench(state: BenchState): void {
  // A candidate is in B only as long as it is tried.
  const { candidates } = state.ear;
  const { builds, places } = candidates?.at === undefined ? state : sidesBefore(state, candidates);
  // The match of a candidate is none of the build that is kept.
  const settings = settingsToKeep({ ...state, builds, places });
  const kept = {
    a: serialiseBuild(builds.a),
    b: serialiseBuild(builds.b),
    places: { a: placeToKeep(places.a), b: placeToKeep(places.b) },
    ...settings,
  };
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
  const { places } = saved as Record<string, unknown>;
  return {
    kind: 'whole',
    builds,
    places: { a: readPlace(fieldOf(places, 'a')), b: readPlace(fieldOf(places, 'b')) },
    settings: readSettings(saved as Record<string, unknown>),
  };
}
