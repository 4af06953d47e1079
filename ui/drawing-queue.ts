import { nextTask } from './next-task.ts';

/** Drawings that follow each other share a task for this long; a long task holds up keys, the pointer and frames. */
const STRETCH_MS = 1;

interface Waiting {
  readonly draw: () => void;
  readonly drawn: () => void;
  readonly failed: (reason: unknown) => void;
}

/**
 * Components draw one after the other, in as many tasks as that takes, so that what a swap changes all over the page
 * is not drawn in one long task.
 */
export class DrawingQueue {
  readonly #layOut: () => void;
  readonly #waiting: Waiting[] = [];
  #running: Promise<void> | undefined;

  /** @param layOut Lays the page out. After each drawing, or the next frame lays out all of them in one task. */
  constructor(layOut: () => void) {
    this.#layOut = layOut;
  }

  /** Draws when it is its turn. Resolves then; rejects with what the drawing throws. */
  add(draw: () => void): Promise<void> {
    return new Promise((drawn, failed) => {
      this.#waiting.push({ draw, drawn, failed });
      this.#running ??= this.#run();
    });
  }

  /** Resolves when nothing waits, not even what was asked for by the drawings. */
  async empty(): Promise<void> {
    await microtasks();
    while (this.#running) await this.#running;
  }

  async #run(): Promise<void> {
    while (this.#waiting.length > 0) {
      await nextTask();
      await this.#drawStretch();
    }
    this.#running = undefined;
  }

  async #drawStretch(): Promise<void> {
    const begun = performance.now();
    while (this.#waiting.length > 0 && performance.now() - begun < STRETCH_MS) {
      const { draw, drawn, failed } = this.#waiting.shift()!;
      try {
        draw();
        drawn();
      } catch (error) {
        failed(error);
      }
      await microtasks();
      this.#layOut();
    }
  }
}

/** Lets everything that a drawing leads to in its own task happen: a plot draws its lines, other components ask to draw. */
async function microtasks(): Promise<void> {
  for (let count = 0; count < 4; count++) await undefined;
}

/** The page's own. */
export const drawings = new DrawingQueue(() => void document.body.getBoundingClientRect());
