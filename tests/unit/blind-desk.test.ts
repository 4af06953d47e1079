import { expect, it } from 'vitest';
import { startBlindTest } from '../../engine/analysis/blind-test.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import type { AudioSession } from '../../ui/audio/audio-session.ts';
import { BlindDesk } from '../../ui/ear/blind-desk.ts';
import { startedStore } from '../started-bench.ts';

it('shows the name of the candidate that was tested once the test ends, and of no other', () => {
  const store = startedStore();
  const telemetry = { inputClips: 0, limitedBlocks: 0, resets: 0 };
  const session = {
    state: { roundSeconds: undefined },
    readTelemetry: () => telemetry,
    setBlind: () => {},
    hear: () => {},
  };
  const desk = new BlindDesk(store, session as unknown as AudioSession, () => true);
  const list = candidatesFor(store.state.builds.a, ['D1', 'D2'], '1N34A, BAT46, OA91').map((each) => ({
    ...each,
    verdict: undefined,
  }));
  store.act({ type: 'startCandidates', refs: ['D1', 'D2'], list, isHidden: true });
  store.act({ type: 'pickCandidate', index: 1 });
  const blindTest = { test: startBlindTest('abx', 1), heard: 'a', notice: undefined } as const;
  store.act({ type: 'ear', change: { blindTest } });
  desk.carryOut({ do: 'answerBlind', answer: 'a' });
  const { candidates, blindTest: running } = store.state.ear;
  expect(running).toBeUndefined();
  expect(candidates?.isHidden).toBe(true);
  expect(candidates?.list.map(({ isNamed }) => isNamed)).toEqual([undefined, true, undefined]);
});
