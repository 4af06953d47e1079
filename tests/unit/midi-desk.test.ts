import { afterEach, expect, it, vi } from 'vitest';
import { MidiDesk } from '../../ui/midi/midi-desk.ts';

afterEach(() => vi.unstubAllGlobals());

/** How often the browser is asked for MIDI when a visit goes on. */
async function askedFor(query: (() => Promise<{ state: string }>) | undefined): Promise<number> {
  const access = Object.assign(new EventTarget(), { inputs: new Map() });
  const requestMIDIAccess = vi.fn(async () => access);
  vi.stubGlobal('navigator', { requestMIDIAccess, permissions: query && { query } });
  await new MidiDesk(() => {}).resume();
  return requestMIDIAccess.mock.calls.length;
}

it('opens MIDI again without a question only: where the browser would ask, or does not tell, a person opens it', async () => {
  expect(await askedFor(async () => ({ state: 'granted' }))).toBe(1);
  expect(await askedFor(async () => ({ state: 'prompt' }))).toBe(0);
  expect(await askedFor(async () => ({ state: 'denied' }))).toBe(0);
  expect(await askedFor(() => Promise.reject(new TypeError('midi is no permission name')))).toBe(0);
  expect(await askedFor(undefined)).toBe(0);
});
