import {
  answerTrial,
  type BlindAnswer,
  type BlindButton,
  BlindTestKey,
  blindTestOutcome,
  currentTrial,
  isFinished,
  startBlindTest,
  type VoidReason,
  voidTrial,
} from '../../engine/analysis/blind-test.ts';
import { blindTestJson, blindTestReport, blindTestText } from '../../engine/analysis/blind-test-report.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import type { AudioSession } from '../audio/audio-session.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import type { BenchState } from '../state/bench-state.ts';
import type { BenchStore } from '../state/bench-store.ts';
import { withNameShown } from '../state/candidate-run.ts';
import { isAlone, sideTitle } from '../state/chains.ts';
import type { EarCommand, EarState, KeptBlindTest, RunningBlindTest } from '../state/ear-state.ts';
import { loadBlindTests, saveBlindTests } from '../state/kept-blind-tests.ts';
import { isMatchFresh, soundAhead, soundChange } from '../state/matched-sound.ts';
import { whyNotOwned } from '../state/owned-parts.ts';
import { offerDownload } from './download.ts';
import { MATCH_TOLERANCE_DB, matchErrorDb, matchErrorOverRoundsDb } from './level-check.ts';
import { sourceName } from './source-name.ts';

const VOID_WORDS: Readonly<Record<VoidReason, string>> = {
  'input clipped': 'the input clipped',
  'limiter active': 'the limiter was active: turn the output down',
  'circuit reset': 'a part of a circuit was reset',
  'levels apart': 'the levels were more than 0.1 dB apart',
  listener: 'you skipped it',
};

/** Least time between two void trials while a disturbance lasts. */
const VOID_PAUSE_MS = 1000;

/** Disturbances of a trial, counted by the audio thread. */
type Spoils = Pick<Telemetry, 'inputClips' | 'limitedBlocks' | 'resets'>;

/**
 * Runs blind tests. Which build is which stands in a key that is read only for the message to the audio thread;
 * the state of the bench, and so the screen, does not have it before the end.
 */
export class BlindDesk {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  readonly #isSolverChecked: () => boolean;
  #key = new BlindTestKey(toss);
  #voidedAtMs = Number.NEGATIVE_INFINITY;
  #spoils: Spoils = { inputClips: 0, limitedBlocks: 0, resets: 0 };

  /** @param isSolverChecked Whether the warnings of the solver belong to what plays now. */
  constructor(store: BenchStore, session: AudioSession, isSolverChecked: () => boolean) {
    this.#store = store;
    this.#session = session;
    this.#isSolverChecked = isSolverChecked;
    this.#change({ blindResults: loadBlindTests() });
  }

  /** @returns Whether the command is one of the blind test's. */
  carryOut(command: EarCommand): boolean {
    switch (command.do) {
      case 'startBlindTest':
        this.#start();
        return true;
      case 'hearBlind':
        this.#hear(command.button);
        return true;
      case 'answerBlind':
        this.#answer(command.answer);
        return true;
      case 'skipTrial':
        this.#skip();
        return true;
      case 'stopBlindTest':
        this.#stop();
        return true;
      case 'saveBlindTest':
        this.#save(command.finishedAt, command.as);
        return true;
      case 'removeBlindTest':
        this.#keep(this.#ear.blindResults.filter(({ finishedAt }) => finishedAt !== command.finishedAt));
        return true;
      default:
        return false;
    }
  }

  /** Plays the build of a key. @returns Whether the key belongs to the test. */
  press(key: string): boolean {
    const running = this.#ear.blindTest;
    if (!running) return false;
    const buttons = buttonsOf(running);
    if (key === ' ') {
      this.#hear(buttons[(buttons.indexOf(running.heard) + 1) % buttons.length]!);
      return true;
    }
    const button = buttons.find((each) => each === key.toLowerCase());
    if (button) this.#hear(button);
    return button !== undefined;
  }

  /** Answers with what was heard: "X is A" while A played. X itself is no answer, and plays on. */
  answerHeard(heard: BlindButton): void {
    if (heard === 'x') this.#hear(heard);
    else this.#answer(heard);
  }

  /** To be called at display rate: a disturbed trial ends and is repeated. */
  tick(): void {
    if (performance.now() - this.#voidedAtMs > VOID_PAUSE_MS) this.#voidIfSpoilt();
  }

  /** @returns Whether the present trial was disturbed. */
  #voidIfSpoilt(): boolean {
    const running = this.#ear.blindTest;
    if (!running) return false;
    const telemetry = this.#session.readTelemetry();
    const reason = this.#spoiltBy(telemetry);
    if (!reason) return false;
    this.#voidedAtMs = performance.now();
    this.#spoils = spoilsOf(telemetry);
    if (reason === 'levels apart') this.#session.measureLoudness();
    this.#void(running, reason);
    return true;
  }

  /** The listener wants another trial instead: it counts as little as a disturbed one. */
  #skip(): void {
    const running = this.#ear.blindTest;
    if (running) this.#void(running, 'listener');
  }

  #void(running: RunningBlindTest, reason: VoidReason): void {
    const notice = `That trial does not count: ${VOID_WORDS[reason]}. It is repeated.`;
    this.#goOn({ ...running, test: voidTrial(running.test, reason), notice });
  }

  #spoiltBy(telemetry: Telemetry): VoidReason | undefined {
    const before = this.#spoils;
    if (telemetry.inputClips > before.inputClips) return 'input clipped';
    if (telemetry.limitedBlocks > before.limitedBlocks) return 'limiter active';
    if (telemetry.resets > before.resets) return 'circuit reset';
    const { roundSeconds } = this.#session.state;
    // Live playing differs from one minute to the next, and so does its loudness through two builds.
    if (roundSeconds === undefined) return undefined;
    const error = matchErrorOverRoundsDb(this.#store.state.match, telemetry, roundSeconds);
    return error !== undefined && Math.abs(error) > MATCH_TOLERANCE_DB ? 'levels apart' : undefined;
  }

  #start(): void {
    const { blindKind, blindTrials } = this.#ear;
    if (whyNoBlindTest(this.#store.wanted, this.#isSolverChecked()) !== undefined) return;
    this.#key = new BlindTestKey(toss);
    this.#spoils = spoilsOf(this.#session.readTelemetry());
    this.#change({ switchEvery: 'off', difference: undefined });
    this.#session.measureLoudness();
    this.#session.setBlind(true);
    const test = startBlindTest(blindKind, blindTrials);
    this.#goOn({ test, heard: blindKind === 'abx' ? 'a' : '1', notice: undefined });
  }

  #hear(button: BlindButton): void {
    const running = this.#ear.blindTest;
    if (!running || !buttonsOf(running).includes(button)) return;
    this.#change({ blindTest: { ...running, heard: button } });
    this.#sound(running, button);
  }

  /** The only place that reads the key: for the message to the audio thread. */
  #sound({ test }: RunningBlindTest, button: BlindButton): void {
    const trial = currentTrial(test);
    if (trial !== undefined) this.#session.hear(this.#key.source(test.kind, trial, button));
  }

  #answer(answer: BlindAnswer): void {
    const running = this.#ear.blindTest;
    if (!running || this.#voidIfSpoilt()) return;
    const test = answerTrial(running.test, answer);
    if (isFinished(test)) this.#finish(test);
    else this.#goOn({ ...running, test, notice: undefined });
  }

  /** Each trial begins with the same button, so that it does not depend on the one before. */
  #goOn(running: RunningBlindTest): void {
    const heard: BlindButton = running.test.kind === 'abx' ? 'a' : '1';
    const blindTest = { ...running, heard };
    this.#change({ blindTest });
    this.#sound(blindTest, heard);
  }

  #finish(test: RunningBlindTest['test']): void {
    const { state } = this.#store;
    const { builds, match, places } = state;
    const hasChain = SLOTS.some((slot) => !isAlone(places[slot]));
    const outcome = blindTestOutcome(test, this.#key);
    const finishedAt = new Date().toISOString();
    const subject = {
      ...builds,
      ...(hasChain ? { places } : {}),
      source: this.#sourceText(),
      gainOfBDb: match.db.b - match.db.a,
      finishedAt,
    };
    const report = blindTestReport(subject, outcome);
    const kept: KeptBlindTest = {
      finishedAt,
      title: `${test.kind === 'abx' ? 'ABX' : 'Preference'}: ${sideTitle(state, 'a')} and ${sideTitle(state, 'b')}`,
      sentences: report.sentences,
      json: blindTestJson(report),
      text: blindTestText(report),
    };
    this.#keep([kept, ...this.#ear.blindResults]);
    const { candidates } = this.#ear;
    if (candidates) this.#change({ candidates: withNameShown(candidates) });
    this.#stop();
  }

  #sourceText(): string {
    const { match, source, ear } = this.#store.state;
    const name = sourceName(source, ear.riffs);
    const { roundSeconds } = this.#session.state;
    const error = matchErrorDb(match, this.#session.readTelemetry(), roundSeconds);
    return roundSeconds === undefined && error !== undefined
      ? `${name}, levels ${Math.abs(error).toFixed(2)} dB apart over the test`
      : name;
  }

  #stop(): void {
    this.#change({ blindTest: undefined });
    this.#session.setBlind(false);
    this.#session.hear(this.#store.state.heard);
  }

  #save(finishedAt: string, as: 'json' | 'text'): void {
    const kept = this.#ear.blindResults.find((result) => result.finishedAt === finishedAt);
    if (!kept) return;
    const type = as === 'json' ? 'application/json' : 'text/plain';
    offerDownload(
      new Blob([kept[as]], { type }),
      kept.title,
      as === 'json' ? 'blind-test.json' : 'blind-test.txt',
    );
  }

  #keep(blindResults: readonly KeptBlindTest[]): void {
    this.#change({ blindResults });
    saveBlindTests(blindResults);
  }

  get #ear(): EarState {
    return this.#store.state.ear;
  }

  #change(change: Partial<EarState>): void {
    this.#store.act({ type: 'ear', change });
  }
}

/** Buttons of a test, in the order of the space bar. */
export function buttonsOf({ test }: RunningBlindTest): readonly BlindButton[] {
  return test.kind === 'abx' ? ['a', 'b', 'x'] : ['1', '2'];
}

/**
 * Why a blind test cannot begin now, in one sentence; undefined if it can.
 *
 * @param isSolverChecked Warnings of the solver must be on the screen before the test, not come during it.
 */
export function whyNoBlindTest(state: BenchState, isSolverChecked: boolean): string | undefined {
  const { match, source, isListening, isBypassed, probe } = state;
  if (source.kind === 'none' || !isListening) return 'Choose an input and press Listen.';
  const lacking = whyNotOwned(state);
  if (lacking !== undefined) return lacking;
  if (isBypassed) return 'Switch the bypass off.';
  if (probe !== undefined) return 'Put the probe back on the output: levels are matched there.';
  if (match.isFollowing)
    return 'Switch “keep matching while I play” off: a moving level tells which build plays.';
  if (match.isMeasuring) return 'Wait until levels are matched.';
  if (match.isAutomatic && !isMatchFresh(state)) return 'Wait until levels are matched.';
  if (!match.sound) return 'Switch “match levels” on.';
  if (match.problem !== undefined) return match.problem;
  const change = soundChange(match.sound, soundAhead(state));
  if (change !== undefined) return `Match levels again: ${change}.`;
  return isSolverChecked ? undefined : 'Wait a few seconds: the error of the solver is being estimated.';
}

function spoilsOf({ inputClips, limitedBlocks, resets }: Telemetry): Spoils {
  return { inputClips, limitedBlocks, resets };
}

function toss(): boolean {
  return (crypto.getRandomValues(new Uint8Array(1))[0]! & 1) === 1;
}
