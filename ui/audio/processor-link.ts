import type { ToProcessor } from '../../worklets/bench-messages.ts';

/**
 * The connection to the processor. Lasting messages are stored under a key and sent again to the next
 * processor, since the context may be closed and reopened; others are sent once.
 */
export class ProcessorLink {
  readonly #standing = new Map<string, ToProcessor>();
  #port: MessagePort | undefined;

  /** Sends all lasting messages to a new processor, in the order in which they first came. */
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

  /** Sends a lasting message, which replaces the one under the key. */
  keep(key: string, message: ToProcessor): void {
    this.#standing.set(key, message);
    this.send(message);
  }

  /** Replaces the message under a key for the next processor, if there is one; sends nothing. */
  amend(key: string, change: (message: ToProcessor) => ToProcessor): void {
    const message = this.#standing.get(key);
    if (message) this.#standing.set(key, change(message));
  }
}
