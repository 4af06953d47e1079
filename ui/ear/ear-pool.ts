import { Refusal } from '../../engine/input/refusal.ts';
import { oneLine } from '../../engine/input/shown-text.ts';
import type { AccuracyPlan, EarJob, EarResults } from './ear-jobs.ts';
import type { FromEarWorker, ToEarWorker } from './ear-messages.ts';
import type { BuildLoudness, LoudnessPlan } from './voice-loudness.ts';

/** A cancelled render. */
export class Cancelled extends Error {
  override readonly name = 'Cancelled';
}

/** Message for a failed render, empty if it was cancelled. @throws A fault of the program. */
export function renderProblem(error: unknown): string {
  if (error instanceof Cancelled) return '';
  if (error instanceof Refusal) return oneLine(error.message);
  throw error;
}

interface Waiting {
  readonly job: EarJob;
  readonly onProgress: (share: number) => void;
  readonly resolve: (result: EarResults[EarJob['kind']]) => void;
  readonly reject: (error: Error) => void;
}

interface Hired {
  readonly worker: Worker;
  job: (Waiting & { readonly id: number }) | undefined;
}

/** Workers for long jobs, one fewer than there are cores; they end when the pool is closed. */
export class EarPool {
  readonly #workers: Hired[] = [];
  readonly #waiting: Waiting[] = [];
  /** Workers at most. */
  readonly size: number;
  #count = 0;
  #isClosed = false;

  /** One core is left to the sound. */
  constructor(size = Math.max(1, (navigator.hardwareConcurrency || 2) - 1)) {
    this.size = size;
  }

  /**
   * Does a job as soon as a worker is free.
   *
   * @throws Refusal where it cannot be done; Cancelled where the pool was closed.
   */
  run<K extends EarJob['kind']>(
    job: Extract<EarJob, { readonly kind: K }>,
    onProgress: (share: number) => void = () => {},
  ): Promise<EarResults[K]> {
    return new Promise((resolve, reject) => {
      if (this.#isClosed) {
        reject(new Cancelled());
        return;
      }
      // The worker answers a job of a kind with a result of that kind.
      this.#waiting.push({ job, onProgress, resolve: resolve as Waiting['resolve'], reject });
      this.#deal();
    });
  }

  /** Cancels running and waiting jobs. */
  close(): void {
    this.#isClosed = true;
    for (const { worker, job } of this.#workers) {
      worker.terminate();
      job?.reject(new Cancelled());
    }
    for (const { reject } of this.#waiting) reject(new Cancelled());
    this.#workers.length = 0;
    this.#waiting.length = 0;
  }

  #deal(): void {
    for (const entry of this.#workers) if (!entry.job) this.#give(entry);
    while (this.#waiting.length > 0 && this.#workers.length < this.size) this.#give(this.#hire());
  }

  #hire(): Hired {
    if (typeof Worker !== 'function')
      throw new Refusal(
        'worker',
        'This browser runs no workers, so differences, rankings and excerpts cannot be computed.',
      );
    const worker = new Worker(new URL('../bench.worker.ts', import.meta.url), { type: 'module' });
    const entry: Hired = { worker, job: undefined };
    worker.addEventListener('message', ({ data }: MessageEvent<FromEarWorker>) => this.#take(entry, data));
    worker.addEventListener('error', () => this.#fail(entry));
    this.#workers.push(entry);
    return entry;
  }

  #give(entry: Hired): void {
    const next = this.#waiting.shift();
    if (!next) return;
    this.#count++;
    entry.job = { ...next, id: this.#count };
    const message: ToEarWorker = { id: this.#count, job: next.job };
    entry.worker.postMessage(message);
  }

  #take(entry: Hired, message: FromEarWorker): void {
    const { job } = entry;
    if (job?.id !== message.id) return;
    if (message.kind === 'progress') {
      job.onProgress(message.share);
      return;
    }
    entry.job = undefined;
    if (message.kind === 'result') job.resolve(message.result);
    else job.reject(new Refusal(message.code, message.message));
    this.#deal();
  }

  #fail(entry: Hired): void {
    entry.job?.reject(new Refusal('worker', 'The computation failed. Reload the page.'));
    entry.job = undefined;
    this.#deal();
  }
}

/** Whether the solver's error is large enough to be known, by a worker of its own. @throws as `run`. */
export async function judgeSolver(plan: AccuracyPlan): Promise<string | undefined> {
  const pool = new EarPool(1);
  try {
    return await pool.run({ kind: 'accuracy', plan });
  } finally {
    pool.close();
  }
}

/** A worker that stays for the next loudness, since a swap waits for it. */
let forLoudness: EarPool | undefined;

/** Loudness of a build over a phrase. @param onPassage As in `voiceLoudness`. @throws as `run`. */
export function computeLoudness(
  plan: LoudnessPlan,
  onPassage: (loudness: number) => void,
): Promise<BuildLoudness> {
  forLoudness ??= new EarPool(1);
  return forLoudness.run({ kind: 'loudness', plan }, onPassage);
}
