import { put, readAll, remove } from '../storage/database.ts';
import type { Riff } from './ear-state.ts';

/** Every riff that was kept, in the order of their ids. @throws DatabaseError. */
export async function loadRiffs(): Promise<readonly Riff[]> {
  return (await readAll('riffs')).filter(isRiff);
}

/** Keeps a riff, in the place of one with the same id. @throws DatabaseError if the browser does not store it. */
export async function keepRiff(riff: Riff): Promise<void> {
  await put('riffs', riff);
}

/** @throws DatabaseError. */
export async function forgetRiff(id: string): Promise<void> {
  await remove('riffs', id);
}

function isRiff(entry: unknown): entry is Riff {
  const { id, name, samples, sampleRateHz, startFrame, endFrame } = (entry ?? {}) as Partial<Riff>;
  return (
    typeof id === 'string' &&
    typeof name === 'string' &&
    samples instanceof Float32Array &&
    isWithin(sampleRateHz, 1000, 1e6) &&
    isWithin(startFrame, 0, samples.length) &&
    isWithin(endFrame, Number(startFrame) + 1, samples.length)
  );
}

function isWithin(value: unknown, least: number, most: number): boolean {
  return typeof value === 'number' && value >= least && value <= most;
}
