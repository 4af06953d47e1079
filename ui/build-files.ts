import type { Build } from '../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../engine/builds/build-file.ts';
import { buildTitle } from '../engine/builds/build-title.ts';
import { MOST_BUILD_BYTES } from '../engine/input/limits.ts';
import { Refusal } from '../engine/input/refusal.ts';
import { oneLine, quoted } from '../engine/input/shown-text.ts';
import type { Slot } from '../worklets/bench-messages.ts';
import { fileName } from './file-name.ts';
import type { BenchStore } from './state/bench-store.ts';
import { withPresetStart } from './state/presets.ts';

/** Loads the build of a file into a slot, or shows why that is not possible. */
export async function openBuild(store: BenchStore, slot: Slot, file: File): Promise<void> {
  const message = await loadBuildFile(store, slot, file);
  if (message !== undefined) store.act({ type: 'refuse', ref: '', slot, message });
}

/** Loads the build of a file into a slot. @returns Why that is not possible, in one sentence; undefined if it was loaded. */
export async function loadBuildFile(store: BenchStore, slot: Slot, file: File): Promise<string | undefined> {
  try {
    store.act({ type: 'load', slot, build: withPresetStart(parseBuildFile(await textOf(file))) });
    await store.settled();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return oneLine(`${quoted(file.name)} was not opened: ${error.message}`);
  }
  return store.state.refusal?.message;
}

/** @throws Refusal for a file that is too large or cannot be read, such as a folder or a deleted file. */
async function textOf(file: File): Promise<string> {
  if (file.size > MOST_BUILD_BYTES)
    throw new Refusal(
      'file',
      `it is ${(file.size / 1e6).toFixed(0)} MB large, and a build file has ${MOST_BUILD_BYTES / 1e6} MB at most`,
    );
  try {
    return await file.text();
  } catch {
    throw new Refusal('file', 'it cannot be read');
  }
}

/** Offers a build as a file, named after its title. */
export function saveBuild(build: Build): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([serialiseBuild(build)], { type: 'application/json' }));
  link.download = `${fileName(buildTitle(build), 'build')}.build.json`;
  link.click();
  URL.revokeObjectURL(link.href);
}
