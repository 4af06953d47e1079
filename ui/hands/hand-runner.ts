import type { Source } from '../audio/prepared-source.ts';
import type { EarCommand } from '../state/ear-state.ts';
import { type SwappedPedals, swapPedals, switchPedal } from './chain-hands.ts';
import { nextNet, stepChosen, walkParts } from './chosen-part.ts';
import { FootSwitch } from './foot-switch.ts';
import { HAND_ACTIONS, type HandActionId } from './hand-actions.ts';
import { type HandTargets, other, type Press } from './hand-targets.ts';

/** Actions for which every press is the same. */
type Plain = Exclude<HandActionId, 'foot' | 'mute'>;

const NO_INPUT = 'To record, choose a live instrument as the input.';

/**
 * Carries out what keys, foot switches and MIDI buttons do. During a blind test only what belongs to it, and while a
 * dialog is open nothing but Mute: a cable may connect output and input.
 */
export class HandRunner {
  readonly #targets: HandTargets;
  readonly #foot: FootSwitch;
  readonly #deeds: Readonly<Record<Plain, () => void>>;
  /** The live input that played last, to which a riff goes back. */
  #live: Source | undefined;
  /** By the key for the order of pedals. */
  #swapped: SwappedPedals | undefined;
  #wasListening = false;

  constructor(targets: HandTargets) {
    this.#targets = targets;
    this.#deeds = this.#deedsOf(targets);
    this.#foot = new FootSwitch(targets, () => this.#recordOrStop());
    this.#rememberLive();
    targets.store.onChange((change) => change.isOf('source') && this.#rememberLive());
  }

  /** Whether an action means something now. */
  isMeant(id: HandActionId): boolean {
    return HAND_ACTIONS[id].when !== (this.#isBlind ? 'bench' : 'blind');
  }

  run(id: HandActionId, press: Press): void {
    if (!this.isMeant(id)) return;
    if (this.#targets.hasDialog()) this.#silence(id);
    else if (id === 'foot') this.#foot.take(press);
    else if (id === 'mute') this.#mute(press);
    else if (press.is !== 'long') this.#deeds[id]();
  }

  #silence(id: HandActionId): void {
    const { store, act } = this.#targets;
    if ((id === 'mute' || id === 'listen') && store.state.isListening)
      act({ type: 'listen', isListening: false });
  }

  #deedsOf({ store, act, blind, showKeys }: HandTargets): Readonly<Record<Plain, () => void>> {
    const verdict = (verdict: 'better' | 'same' | 'worse') => () => act({ type: 'verdict', verdict });
    return {
      switch: () => {
        if (this.#isBlind) blind.press(' ');
        else act({ type: 'hear', slot: other(store.state.heard) });
      },
      next: () => act({ type: 'candidate', step: 1 }),
      previous: () => act({ type: 'candidate', step: -1 }),
      better: verdict('better'),
      same: verdict('same'),
      worse: verdict('worse'),
      record: () => void this.#record(),
      stop: () => this.#stop(),
      match: () => act({ type: 'match', match: { ...store.state.match, isMeasuring: true } }),
      bypass: () => act({ type: 'bypass', isBypassed: !store.wanted.isBypassed }),
      pedal1: () => switchPedal(this.#targets, 0),
      pedal2: () => switchPedal(this.#targets, 1),
      pedal3: () => switchPedal(this.#targets, 2),
      order: () => {
        this.#swapped = swapPedals(this.#targets, this.#swapped);
      },
      listen: () => act({ type: 'listen', isListening: !store.state.isListening }),
      undo: () => act({ type: 'undo' }),
      up: () => stepChosen(this.#targets, 1),
      down: () => stepChosen(this.#targets, -1),
      right: () => walkParts(this.#targets, 1),
      left: () => walkParts(this.#targets, -1),
      probe: () => act({ type: 'probe', net: nextNet(store.state) }),
      keys: showKeys,
      'answer-first': () => this.#answer('a', '1'),
      'answer-second': () => this.#answer('b', '2'),
      skip: () => this.#command({ do: 'skipTrial' }),
    };
  }

  #answer(abx: 'a' | 'b', preference: '1' | '2'): void {
    const running = this.#targets.store.state.ear.blindTest;
    if (running) this.#command({ do: 'answerBlind', answer: running.test.kind === 'abx' ? abx : preference });
  }

  /** A short press only ever brings the sound back, so that no touch ends it; a switch without a long press does both. */
  #mute({ is, canBeLong }: Press): void {
    const { store, act } = this.#targets;
    const { isListening } = store.state;
    if (is === 'long') {
      if (this.#wasListening) act({ type: 'listen', isListening: false });
      return;
    }
    this.#wasListening = isListening;
    if (!isListening || !canBeLong) act({ type: 'listen', isListening: !isListening });
  }

  /** Begins with the count-in, if a riff plays with the live input of before; later presses start now, and end. */
  async #record(): Promise<void> {
    const { store, act, useSource } = this.#targets;
    const isIdle = store.state.ear.capture === 'idle';
    if (isIdle && store.state.source.kind === 'riff' && this.#live) await useSource(this.#live);
    if (isIdle && store.state.source.kind !== 'live')
      act({ type: 'refuse', ref: '', slot: undefined, message: NO_INPUT });
    else this.#command({ do: 'pressCapture' });
  }

  #stop(): void {
    const { store, act, useSource } = this.#targets;
    const { ear, source } = store.state;
    if (ear.capture === 'capturing') this.#command({ do: 'pressCapture' });
    else if (ear.capture !== 'idle') this.#command({ do: 'cancelCapture' });
    else if (source.kind === 'riff' && this.#live) void useSource(this.#live);
    else act({ type: 'listen', isListening: false });
  }

  #recordOrStop(): void {
    const { source } = this.#targets.store.state;
    if (source.kind === 'riff' && this.#live) this.#stop();
    else void this.#record();
  }

  #rememberLive(): void {
    const { source } = this.#targets.store.state;
    if (source.kind === 'live') this.#live = source;
  }

  #command(command: EarCommand): void {
    this.#targets.act({ type: 'earCommand', command });
  }

  get #isBlind(): boolean {
    return this.#targets.store.state.ear.blindTest !== undefined;
  }
}
