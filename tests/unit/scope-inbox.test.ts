import { afterEach, expect, it, vi } from 'vitest';
import { ScopeInbox } from '../../ui/audio/scope-inbox.ts';
import { SCOPE_HEADER_BYTES } from '../../worklets/bench-messages.ts';
import { SCOPE_LENGTH } from '../../worklets/scope-recorder.ts';

afterEach(() => vi.unstubAllGlobals());

function sharedInbox() {
  vi.stubGlobal('crossOriginIsolated', true);
  const inbox = new ScopeInbox();
  const header = new Int32Array(inbox.shared!, 0, 1);
  const samples = new Float32Array(inbox.shared!, SCOPE_HEADER_BYTES);
  return { inbox, header, samples };
}

it('gives each shared frame once, and never an incomplete one', () => {
  const { inbox, header, samples } = sharedInbox();
  expect(inbox.read()).toBeUndefined();
  Atomics.add(header, 0, 1);
  samples.fill(0.5);
  expect(inbox.read()).toBeUndefined();
  Atomics.add(header, 0, 1);
  expect(inbox.read()).toEqual(new Float32Array(SCOPE_LENGTH).fill(0.5));
  expect(inbox.read()).toBeUndefined();
});

it('does not change a frame while the next one is written', () => {
  const { inbox, header, samples } = sharedInbox();
  Atomics.add(header, 0, 2);
  samples.fill(0.25);
  const frame = inbox.read();
  samples.fill(0.75);
  expect(frame?.every((value) => value === 0.25)).toBe(true);
});

it('gives each posted frame once where memory cannot be shared', () => {
  const inbox = new ScopeInbox();
  expect(inbox.shared).toBeUndefined();
  inbox.receive(new Float32Array([1, 2, 3]));
  expect(inbox.read()).toEqual(new Float32Array([1, 2, 3]));
  expect(inbox.read()).toBeUndefined();
});
