import type { ReactiveController, ReactiveControllerHost } from 'lit';

/**
 * Values that take milliseconds each, for a component that is drawn often: each drawing computes one, and asks for the
 * next drawing while some are missing. An old value stays until its new one is there.
 */
export class LaterValues<T> implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #values = new Map<string, T>();
  #missing: (readonly [key: string, compute: () => T])[] = [];

  constructor(host: ReactiveControllerHost) {
    this.#host = host;
    host.addController(this);
  }

  /** What is shown from now on. To be called when what it is computed from has changed. */
  want(values: readonly (readonly [key: string, compute: () => T])[]): void {
    this.#missing = [...values];
    const keys = new Set(values.map(([key]) => key));
    for (const key of this.#values.keys()) if (!keys.has(key)) this.#values.delete(key);
  }

  /** Undefined until it was computed for the first time. */
  get(key: string): T | undefined {
    return this.#values.get(key);
  }

  hostUpdate(): void {
    const next = this.#missing.shift();
    if (next) this.#values.set(next[0], next[1]());
  }

  hostUpdated(): void {
    if (this.#missing.length > 0) this.#host.requestUpdate();
  }
}
