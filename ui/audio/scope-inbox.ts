import { SCOPE_HEADER_BYTES } from '../../worklets/bench-messages.ts';
import { SCOPE_LENGTH } from '../../worklets/scope-recorder.ts';
import { sharedMemory } from './shared-memory.ts';

/** Where scope frames arrive: in shared memory if the page may have it, otherwise by messages. */
export class ScopeInbox {
  readonly shared: SharedArrayBuffer | undefined;
  readonly #header: Int32Array | undefined;
  readonly #samples: Float32Array | undefined;
  readonly #copy = new Float32Array(SCOPE_LENGTH);
  #posted: Float32Array | undefined;
  #seen = 0;

  constructor() {
    this.shared = sharedMemory(SCOPE_HEADER_BYTES + 4 * SCOPE_LENGTH);
    if (!this.shared) return;
    this.#header = new Int32Array(this.shared, 0, 1);
    this.#samples = new Float32Array(this.shared, SCOPE_HEADER_BYTES);
  }

  receive(samples: Float32Array): void {
    this.#posted = samples;
  }

  /** The newest whole frame, or undefined where none has come since the last one. Overwritten by the next. */
  read(): Float32Array | undefined {
    if (!this.#header || !this.#samples) {
      const posted = this.#posted;
      this.#posted = undefined;
      return posted;
    }
    const before = Atomics.load(this.#header, 0);
    if (before === this.#seen || before % 2 !== 0) return undefined;
    this.#copy.set(this.#samples);
    // Overwritten meanwhile: the next frame comes soon.
    if (Atomics.load(this.#header, 0) !== before) return undefined;
    this.#seen = before;
    return this.#copy;
  }
}
