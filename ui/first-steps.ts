import type { ReactiveController, ReactiveControllerHost } from 'lit';
import { isSameCircuit } from '../engine/circuits/circuit.ts';
import { SLOTS } from '../worklets/bench-messages.ts';
import { MediaFollower } from './media-query.ts';
import { dismissal, type Notice } from './notice.ts';
import type { BenchChange } from './state/bench-change.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { isSameBuild } from './state/matched-sound.ts';
import { firstBuilds } from './state/starting-state.ts';
import { keptTexts } from './storage/kept-texts.ts';

type Step = 'hear' | 'swap' | 'switch';

/** @param hasKeys Whether there is a keyboard. */
const stepsOf = (hasKeys: boolean): readonly (readonly [step: Step, text: string])[] => [
  ['hear', '1. Press Listen.'],
  ['swap', `2. ${hasKeys ? 'Click' : 'Tap'} D1 and choose another type.`],
  [
    'switch',
    `3. Press ${hasKeys ? 'the space bar: A, B' : 'A, then B'}. They differ only in their clipping diodes.`,
  ],
];
const STEP_COUNT = stepsOf(true).length;
/** All ticks stay on the screen for so long. */
const LEAVES_AFTER_MS = 4000;
const WELCOMED = 'welcomed';
/** A touch screen, or a page as narrow as a phone. */
const WITHOUT_KEYS = '(pointer: coarse), (max-width: 740px)';

/** What leads through the first minute of a first visit: three steps, each ticked once it is done. Then it is gone for good. */
export class FirstSteps implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #phone: MediaFollower;
  #isShown: boolean;
  #done: ReadonlySet<Step> = new Set();
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(host: ReactiveControllerHost, store: BenchStore) {
    this.#host = host;
    this.#phone = new MediaFollower(host, WITHOUT_KEYS);
    this.#isShown = keptTexts.read(WELCOMED) === undefined && isFirstBench(store.state);
    host.addController(this);
    if (this.#isShown) store.onChange((change) => this.#follow(change));
  }

  /** The steps in one line, or nothing. */
  get notices(): readonly Notice[] {
    if (!this.#isShown) return [];
    const text = stepsOf(!this.#phone.matches)
      .map(([step, words]) => (this.#done.has(step) ? `✓ ${words}` : words))
      .join(' ');
    return [{ kind: 'note', text, ways: [dismissal(this.#leave)] }];
  }

  hostDisconnected(): void {
    clearTimeout(this.#timer);
  }

  #follow(change: BenchChange): void {
    if (this.#isShown && !isOfFirstBench(change.after)) {
      this.#isShown = false;
      this.#host.requestUpdate();
    }
    const done = new Set([...this.#done, ...stepsIn(change)]);
    if (!this.#isShown || done.size === this.#done.size) return;
    this.#done = done;
    this.#host.requestUpdate();
    if (done.size < STEP_COUNT) return;
    keptTexts.keep(WELCOMED, 'yes');
    this.#timer = setTimeout(this.#leave, LEAVES_AFTER_MS);
  }

  readonly #leave = (): void => {
    clearTimeout(this.#timer);
    keptTexts.keep(WELCOMED, 'yes');
    this.#isShown = false;
    this.#host.requestUpdate();
  };
}

/** Whether the steps are true of the bench at the start: of the first two builds, matched. */
function isFirstBench({ builds, match }: BenchState): boolean {
  const first = firstBuilds();
  return match.isAutomatic && SLOTS.every((slot) => isSameBuild(builds[slot], first[slot]));
}

/** Whether they still are, after a swap. */
function isOfFirstBench({ builds, match }: BenchState): boolean {
  const { circuit } = firstBuilds().a;
  return match.isAutomatic && SLOTS.every((slot) => isSameCircuit(builds[slot].circuit, circuit));
}

function stepsIn({ before, after }: BenchChange): readonly Step[] {
  const isSwapped = SLOTS.some((slot) => before.builds[slot].parts !== after.builds[slot].parts);
  return [
    ...(after.isListening ? (['hear'] as const) : []),
    ...(isSwapped ? (['swap'] as const) : []),
    ...(before.heard !== after.heard ? (['switch'] as const) : []),
  ];
}
