import { harmonicsView } from './harmonics-view.ts';
import type { Known } from './known.ts';
import { levelsView } from './levels-view.ts';
import type { PlotView } from './plot-view.ts';
import { responseView } from './response-view.ts';
import { clippingView, testWaveformView } from './signal-views.ts';
import { spectrumView } from './spectrum-view.ts';

/** The plots of the panel in the order of their tabs, with the analysis that each needs; sound comes from the audio thread. */
export const PLOT_KINDS = [
  { id: 'response', title: 'Response', needs: 'response' },
  { id: 'clipping', title: 'Clipping', needs: 'sine' },
  { id: 'waveform', title: 'Waveform', needs: 'sine' },
  { id: 'spectrum', title: 'Spectrum', needs: 'sound' },
  { id: 'harmonics', title: 'Harmonics', needs: 'sine' },
  { id: 'levels', title: 'Levels', needs: 'sine' },
] as const;
export type PlotKind = (typeof PLOT_KINDS)[number]['id'];

/** The view of one kind of plot. */
export function viewOf(kind: PlotKind, known: Known): PlotView {
  switch (kind) {
    case 'response':
      return responseView(known);
    case 'clipping':
      return clippingView(known);
    case 'waveform':
      return testWaveformView(known);
    case 'spectrum':
      return spectrumView(known.place);
    case 'harmonics':
      return harmonicsView(known);
    case 'levels':
      return levelsView(known);
  }
}
