import type { AudioSession } from './audio/audio-session.ts';
import type { ClipCount } from './audio/clip-count.ts';
import type { InputDevice } from './audio/live-input.ts';
import type { Telemetry } from './audio/telemetry.ts';
import type { BenchAnalysis } from './bench-analysis.ts';
import type { BenchMatch } from './bench-match.ts';
import type { BenchPage, LeftView, Page } from './bench-pages.ts';
import type { EarDose } from './ear/ear-exposure.ts';
import type { HandDesk } from './hands/hand-desk.ts';
import type { MidiDesk } from './midi/midi-desk.ts';
import type { ModLogDesk } from './mod-log-desk.ts';
import type { Notice } from './notice.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import type { BoardReadings } from './state/board-readings.ts';
import type { Theme } from './state/theme.ts';

/** What the templates of the bench draw, and what their buttons do. */
export interface BenchScreen {
  readonly bench: BenchState;
  readonly store: BenchStore;
  readonly session: AudioSession;
  readonly telemetry: Telemetry;
  readonly clips: ClipCount;
  readonly inputs: readonly InputDevice[];
  readonly hands: HandDesk;
  readonly midi: MidiDesk;
  readonly analysis: BenchAnalysis;
  readonly dose: EarDose;
  readonly log: ModLogDesk;
  readonly boards: BoardReadings;
  readonly isSolverChecked: boolean;
  readonly wanted: () => BenchState;
  readonly prepareB: (state: BenchState) => ReturnType<BenchMatch['prepareB']>;
  /** Above the bench, as far as they may be seen now. */
  readonly notices: readonly Notice[];
  readonly theme: Theme;
  readonly leftView: LeftView;
  readonly page: BenchPage;
  readonly isPhone: boolean;
  readonly turnTheme: () => void;
  readonly turnTo: (page: Page) => void;
  readonly showLeft: (view: LeftView) => void;
  readonly showKeys: () => void;
}
