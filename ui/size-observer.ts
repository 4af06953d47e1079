/** Reports when an element changes its size; if the browser cannot, when the window does. */
export class SizeObserver {
  readonly #onChange: () => void;
  readonly #observer: ResizeObserver | undefined;

  constructor(onChange: () => void) {
    this.#onChange = onChange;
    this.#observer = typeof ResizeObserver === 'function' ? new ResizeObserver(onChange) : undefined;
  }

  observe(element: Element): void {
    if (this.#observer) this.#observer.observe(element);
    else {
      window.addEventListener('resize', this.#onChange);
      // The first size is told too.
      requestAnimationFrame(this.#onChange);
    }
  }

  disconnect(): void {
    this.#observer?.disconnect();
    window.removeEventListener('resize', this.#onChange);
  }
}
