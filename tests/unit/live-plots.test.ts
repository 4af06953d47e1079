import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { Known } from '../../ui/plots/known.ts';
import { type LiveKind, LivePlots } from '../../ui/plots/live-plots.ts';
import type { PlotView } from '../../ui/plots/plot-view.ts';
import { SCOPE_LENGTH } from '../../worklets/scope-recorder.ts';

const none = { a: undefined, b: undefined };
const known: Known = {
  response: none,
  sine: none,
  pedal: undefined,
  pedals: [{ name: '', circuit: '', units: { a: '', b: '' } }],
  spread: { a: undefined, b: undefined },
  clips: { a: undefined, b: undefined },
  place: 'the output',
  heard: 'a',
  from: 'input',
  hz: 440,
  peakV: 0.2,
};

/** The screen's next frame. */
let drawFrame: () => void;

beforeEach(() => {
  vi.stubGlobal('requestAnimationFrame', (callback: () => void) => {
    drawFrame = callback;
    return 1;
  });
  vi.stubGlobal('cancelAnimationFrame', () => undefined);
});
afterEach(() => vi.unstubAllGlobals());

it('keep the last picture when the sound ends, and no longer call it live', () => {
  const shown: PlotView[] = [];
  const plots = new LivePlots((_: LiveKind, view) => shown.push(view));
  const state = { isRunning: true, sampleRateHz: 48_000 };
  plots.follow(
    {
      state,
      wantScope: () => undefined,
      readScope: () => new Float32Array(SCOPE_LENGTH).fill(0.1),
      wantLevels: () => undefined,
      readLevels: () => new Float32Array(),
    },
    ['spectrum'],
    known,
  );
  drawFrame();
  const live = shown.at(-1)!;
  expect(live.title).toBe('Spectrum, live');
  state.isRunning = false;
  drawFrame();
  drawFrame();
  expect(shown).toHaveLength(2);
  expect(shown[1]).toMatchObject({ title: 'Spectrum, last picture', data: live.data });
  expect(shown[1]!.hint).toMatch(/^Sound is off\. Last picture\./);
  expect(plots.viewOf('spectrum')).toBe(shown[1]);
  state.isRunning = true;
  drawFrame();
  expect(shown[2]!.title).toBe('Spectrum, live');
});
