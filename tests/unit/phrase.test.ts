import { expect, it, vi } from 'vitest';
import type { AudioSession } from '../../ui/audio/audio-session.ts';
import { playingExcerpts, readPhrase } from '../../ui/ear/phrase.ts';
import { STARTING_EAR } from '../../ui/state/ear-state.ts';

it('reads a file for the watch over the solver without its warning, and for a render with it', async () => {
  const readSource = vi.fn(async () => ({ samples: new Float32Array(48).fill(0.1), sampleRateHz: 48_000 }));
  const session = { readSource, state: {} as AudioSession['state'] };
  const source = { kind: 'file', file: new File([], 'damaged.flac') } as const;
  await playingExcerpts({ source, ear: STARTING_EAR }, session);
  expect(readSource).toHaveBeenLastCalledWith(source, { isQuiet: true });
  await readPhrase({ source, ear: STARTING_EAR }, session);
  expect(readSource).toHaveBeenLastCalledWith(source, {});
});
