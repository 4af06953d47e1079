import type { ReactiveController, ReactiveControllerHost } from 'lit';

/** Whether a media query matches; false if the browser cannot tell. */
export function matchesMedia(query: string): boolean {
  return typeof matchMedia === 'function' && matchMedia(query).matches;
}

/** Whether a media query matches now; draws the host again when that changes. */
export class MediaFollower implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #list: MediaQueryList | undefined;

  constructor(host: ReactiveControllerHost, query: string) {
    this.#host = host;
    this.#list = typeof matchMedia === 'function' ? matchMedia(query) : undefined;
    host.addController(this);
  }

  get matches(): boolean {
    return this.#list?.matches ?? false;
  }

  hostConnected(): void {
    this.#list?.addEventListener('change', this.#onChange);
  }

  hostDisconnected(): void {
    this.#list?.removeEventListener('change', this.#onChange);
  }

  #onChange = (): void => this.#host.requestUpdate();
}
