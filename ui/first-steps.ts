import type { ReactiveController, ReactiveControllerHost } from 'lit';
import { SLOTS } from '../worklets/bench-messages.ts';
import { dismissal, type Notice } from './notice.ts';
import type { BenchChange } from './state/bench-change.ts';
import type { BenchStore } from './state/bench-store.ts';
import { keptTexts } from './storage/kept-texts.ts';

type Step = 'hear' | 'swap' | 'switch';

const STEPS: readonly (readonly [step: Step, text: string])[] = [
  ['hear', '1. Press Listen.'],
  ['swap', '2. Click D1 and choose another type.'],
  ['switch', '3. Press the space bar: A, B. They differ in their clipping diodes and are equally loud.'],
];
/** All ticks stay on the screen for so long. */
const LEAVES_AFTER_MS = 4000;
const WELCOMED = 'welcomed';

/** What leads through the first minute of a first visit: three steps, each ticked once it is done. Then it is gone for good. */
export class FirstSteps implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  #isShown = keptTexts.read(WELCOMED) === undefined;
  #done: ReadonlySet<Step> = new Set();
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(host: ReactiveControllerHost, store: BenchStore) {
    this.#host = host;
    host.addController(this);
    if (this.#isShown) store.onChange((change) => this.#follow(change));
  }

  /** The steps in one line, or nothing. */
  get notices(): readonly Notice[] {
    if (!this.#isShown) return [];
    const text = STEPS.map(([step, words]) => (this.#done.has(step) ? `✓ ${words}` : words)).join(' ');
    return [{ kind: 'note', text, ways: [dismissal(this.#leave)] }];
  }

  hostDisconnected(): void {
    clearTimeout(this.#timer);
  }

  #follow(change: BenchChange): void {
    const done = new Set([...this.#done, ...stepsIn(change)]);
    if (!this.#isShown || done.size === this.#done.size) return;
    this.#done = done;
    this.#host.requestUpdate();
    if (done.size < STEPS.length) return;
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

function stepsIn({ before, after }: BenchChange): readonly Step[] {
  const isSwapped = SLOTS.some((slot) => before.builds[slot].parts !== after.builds[slot].parts);
  return [
    ...(after.isListening ? (['hear'] as const) : []),
    ...(isSwapped ? (['swap'] as const) : []),
    ...(before.heard !== after.heard ? (['switch'] as const) : []),
  ];
}
