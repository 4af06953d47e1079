import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { Build } from '../engine/builds/build.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { Analyser } from './plots/analyser.ts';
import type { Builds } from './state/bench-state.ts';

/**
 * What is found out of the builds beside the page's own thread: the plots' analyser, and what would hurt a part. It
 * comes with the plots, once the bench is on the screen.
 */
export class BenchAnalysis implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #builds: () => Builds;
  #analyser: Analyser | undefined;
  #warnings: Readonly<Record<Slot, readonly string[]>> = { a: [], b: [] };
  /** The builds that warnings were asked for. */
  #checked: Readonly<Partial<Record<Slot, Build>>> = {};
  #isConnected = false;

  constructor(host: ReactiveControllerHost, builds: () => Builds) {
    this.#host = host;
    this.#builds = builds;
    host.addController(this);
  }

  /** Undefined until it has been loaded. */
  get analyser(): Analyser | undefined {
    return this.#analyser;
  }

  /** What would hurt a part of each build, in sentences; of the build before, until the new one is looked through. */
  get warnings(): Readonly<Record<Slot, readonly string[]>> {
    return this.#warnings;
  }

  hostConnected(): void {
    this.#isConnected = true;
    requestAnimationFrame(() => setTimeout(() => void this.#load()));
  }

  hostDisconnected(): void {
    this.#isConnected = false;
    this.#analyser?.close();
    this.#analyser = undefined;
    this.#checked = {};
  }

  /** Looks through builds that have changed. */
  check(): void {
    for (const slot of SLOTS) void this.#check(slot, this.#builds()[slot]);
  }

  async #load(): Promise<void> {
    const [{ Analyser }] = await Promise.all([
      import('./plots/analyser.ts'),
      import('./components/plots/plots-panel.ts'),
    ]);
    if (!this.#isConnected || this.#analyser) return;
    this.#analyser = new Analyser();
    this.check();
    this.#host.requestUpdate();
  }

  async #check(slot: Slot, build: Build): Promise<void> {
    if (!this.#analyser || build === this.#checked[slot]) return;
    this.#checked = { ...this.#checked, [slot]: build };
    const answer = await this.#analyser.ask(`${slot} warnings`, { kind: 'warnings', build });
    if (!answer || answer.kind === 'none') return;
    const found = answer.kind === 'refused' ? [answer.message] : answer.result;
    this.#warnings = { ...this.#warnings, [slot]: found };
    this.#host.requestUpdate();
  }
}
