import { quoted } from '../engine/input/shown-text.ts';
import type { AudioSession } from './audio/audio-session.ts';
import type { ClipCount } from './audio/clip-count.ts';
import type { Source } from './audio/prepared-source.ts';
import type { BenchAudio } from './bench-audio.ts';
import { type ForNoSide, openFile, saveSide, sideFile } from './build-files.ts';
import type { BlindDesk } from './ear/blind-desk.ts';
import type { RiffDesk } from './ear/riff-desk.ts';
import type { ModLogDesk } from './mod-log-desk.ts';
import type { IncomingDialog } from './share/incoming-dialog.ts';
import type { Action, BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { isHiding } from './state/candidate-run.ts';

/** During a blind test nothing changes, and nothing on the screen tells which build is heard. */
export function isBlind({ ear }: Pick<BenchState, 'ear'>): boolean {
  return ear.blindTest !== undefined;
}

/** Actions that are allowed during a blind test. */
const BLIND_ACTIONS: ReadonlySet<Action['type']> = new Set(['listen', 'output', 'earCommand']);

/** Actions that are allowed while candidates play with their names hidden: none that changes what is compared. */
const HIDING_ACTIONS: ReadonlySet<Action['type']> = new Set([
  ...BLIND_ACTIONS,
  'hear',
  'match',
  'bypass',
  'ear',
  'undo',
  'candidate',
  'pickCandidate',
  'verdict',
  'endCandidates',
]);

function isAllowed({ type }: Action, bench: BenchState): boolean {
  if (isBlind(bench)) return BLIND_ACTIONS.has(type);
  return !isHiding(bench.ear) || HIDING_ACTIONS.has(type);
}

/** Who carries out what is no change of the state alone. */
interface Desks {
  readonly store: BenchStore;
  readonly session: AudioSession;
  readonly audio: BenchAudio;
  readonly clips: ClipCount;
  readonly riffs: RiffDesk;
  readonly blind: BlindDesk;
  readonly log: ModLogDesk;
  readonly useSource: (source: Source) => Promise<void>;
  readonly guideCalibration: () => void;
  readonly measureParts: (place: string | undefined) => void;
  readonly share: (title: string, fileText: string) => void;
  readonly incoming: () => IncomingDialog | null;
  readonly showSoundSettings: () => void;
  readonly requestUpdate: () => void;
}

/** Carries out what components, keys and foot switches ask for, where it is allowed. */
export class BenchActions {
  readonly #desks: Desks;

  constructor(desks: Desks) {
    this.#desks = desks;
  }

  act(action: Action): void {
    const { store, session, audio } = this.#desks;
    if (!isAllowed(action, store.state)) return;
    switch (action.type) {
      case 'source':
        void this.#desks.useSource(action.source);
        return;
      case 'open':
        void openFile(store, action, (offered) => this.#offer(offered, action));
        return;
      case 'save':
        saveSide(store.state, action.slot, action.isPedal === true);
        return;
      case 'share': {
        const { title, text } = sideFile(store.state, action.slot, false);
        this.#desks.share(title, text);
        return;
      }
      case 'guideCalibration':
        this.#desks.guideCalibration();
        return;
      case 'measureParts':
        this.#desks.measureParts(action.place);
        return;
      case 'soundSettings':
        this.#desks.showSoundSettings();
        return;
      case 'outputDevice':
        void session.useOutput(action.device);
        return;
      case 'clearClips':
        this.#desks.clips.clear();
        this.#desks.requestUpdate();
        return;
      case 'measureRate':
        audio.measureRate();
        return;
      case 'measureRoundTrip':
        void session.measureRoundTrip();
        return;
      case 'earCommand':
        if (!this.#desks.riffs.carryOut(action.command)) this.#desks.blind.carryOut(action.command);
        return;
      case 'log':
        this.#desks.log.carryOut(action.command);
        this.#desks.requestUpdate();
        return;
      case 'tone':
        void session.playTone(action.isPlaying);
        return;
      default:
        store.act(action);
        if (action.type === 'listen' && action.isListening) this.#openKeptInput();
    }
  }

  #offer(offered: ForNoSide, open: Extract<Action, { readonly type: 'open' }>): void {
    // A blind test may have begun while the file was read.
    if (!isAllowed(open, this.#desks.store.state)) return;
    void this.#desks.incoming()?.offerRead(offered, { from: quoted(open.file.name), slot: open.slot });
  }

  /** A live input of an earlier visit is opened like one that is chosen: with the caution first. */
  #openKeptInput(): void {
    const { store, session } = this.#desks;
    const { source } = store.state;
    if (source.kind === 'live' && session.state.source.kind === 'none') void this.#desks.useSource(source);
  }
}
