import type { ToProcessor } from '../../worklets/bench-messages.ts';

/**
 * The way to the processor. What stands is remembered under a key and told again to the next processor, since the
 * context may be closed and opened anew; what only happens is sent and forgotten.
 */
export class ProcessorLink {
  readonly #standing = new Map<string, ToProcessor>();
  #port: MessagePort | undefined;

  /** Tells a new processor all that stands, in the order in which it first came to stand. */
  connect(port: MessagePort): void {
    this.#port = port;
    for (const message of this.#standing.values()) port.postMessage(message);
  }

  disconnect(): void {
    this.#port = undefined;
  }

  send(message: ToProcessor): void {
    this.#port?.postMessage(message);
  }

  /** Sends what stands from now on, in place of what stood under the key. */
  keep(key: string, message: ToProcessor): void {
    this.#standing.set(key, message);
    this.send(message);
  }

  /** Changes what is told to the next processor, where something stands under the key; sends nothing. */
  amend(key: string, change: (message: ToProcessor) => ToProcessor): void {
    const message = this.#standing.get(key);
    if (message) this.#standing.set(key, change(message));
  }
}
