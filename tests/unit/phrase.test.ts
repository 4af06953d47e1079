import { expect, it, vi } from 'vitest';
import type { AudioSession } from '../../ui/audio/audio-session.ts';
import { readPhrase } from '../../ui/ear/phrase.ts';
import { PlayingExcerpts } from '../../ui/ear/playing-excerpts.ts';
import { STARTING_EAR } from '../../ui/state/ear-state.ts';

it('reads a file for the watch over the solver without its warning, and for a render with it', async () => {
  const readSource = vi.fn(async () => ({ samples: new Float32Array(48).fill(0.1), sampleRateHz: 48_000 }));
  const session = { readSource, state: {} as AudioSession['state'] };
  const source = { kind: 'file', file: new File([], 'damaged.flac') } as const;
  await new PlayingExcerpts(session).of({ source, ear: STARTING_EAR, calibration: { volts: 1 } });
  expect(readSource).toHaveBeenLastCalledWith(source, { isQuiet: true });
  await readPhrase({ source, ear: STARTING_EAR }, session);
  expect(readSource).toHaveBeenLastCalledWith(source, {});
});

it('looks through a file once for the watch over the solver, however often builds are swapped', async () => {
  const readSource = vi.fn(async () => ({ samples: new Float32Array(480).fill(0.1), sampleRateHz: 48_000 }));
  const session = { readSource, state: { sampleRateHz: 48_000 } as AudioSession['state'] };
  const excerpts = new PlayingExcerpts(session);
  const source = { kind: 'file', file: new File([], 'a.flac') } as const;
  const played = { source, ear: STARTING_EAR, calibration: { volts: 1 } };
  const first = await excerpts.of(played);
  expect(first.excerptsV).toHaveLength(1);
  expect(await excerpts.of({ ...played })).toBe(first);
  expect(readSource).toHaveBeenCalledTimes(1);
  // A file is scaled by the volts of the interface.
  await excerpts.of({ ...played, calibration: { volts: 2 } });
  expect(readSource).toHaveBeenCalledTimes(2);
});

it('asks again for a file that could not be read', async () => {
  const readSource = vi.fn(async () => undefined);
  const excerpts = new PlayingExcerpts({ readSource, state: {} as AudioSession['state'] });
  const played = { source: { kind: 'string' }, ear: STARTING_EAR, calibration: { volts: 1 } } as const;
  await expect(excerpts.of(played)).rejects.toThrow('Nothing plays');
  await expect(excerpts.of(played)).rejects.toThrow('Nothing plays');
  expect(readSource).toHaveBeenCalledTimes(2);
});
