import { dataText } from '../data-text.ts';
import type { Answer, FromAnalyser, ToAnalyser } from './analysis-messages.ts';
import type { Query } from './plot-analysis.ts';

/** Number of stored answers. */
const KEPT = 24;

interface Waiting {
  readonly query: Query;
  readonly key: string;
  readonly answered: (answer: Answer | undefined) => void;
}

/**
 * Asks the worker, one query at a time. Of queries that wait in one place, only the newest is asked: while a
 * knob turns, plots follow as fast as they can be computed.
 */
export class Analyser {
  #worker = this.#started();
  readonly #waiting = new Map<string, Waiting>();
  readonly #kept = new Map<string, Answer>();
  #asked: (Waiting & { readonly place: string; readonly id: number }) | undefined;
  #count = 0;

  /**
   * @param place Origin of the query: a later query from the same place replaces a waiting one.
   * @returns The answer, or undefined if a later query replaced it or was answered before it.
   */
  ask<K extends Query['kind']>(
    place: string,
    query: Extract<Query, { readonly kind: K }>,
  ): Promise<Answer<K> | undefined> {
    const key = dataText(query);
    const known = this.#kept.get(key);
    return new Promise((resolve) => {
      // The worker answers a query of a kind with an analysis of that kind.
      const answered = resolve as Waiting['answered'];
      this.#waiting.get(place)?.answered(undefined);
      this.#waiting.delete(place);
      if (known) {
        // What the worker still computes for this place is older, and would come after this.
        if (this.#asked?.place === place) this.#asked.answered(undefined);
        answered(known);
        return;
      }
      this.#waiting.set(place, { query, key, answered });
      this.#askNext();
    });
  }

  /** Ends what is computed and what waits, without an answer; what is known stays. */
  stop(): void {
    this.close();
    this.#waiting.clear();
    this.#asked = undefined;
    this.#worker = this.#started();
  }

  close(): void {
    this.#worker.terminate();
    for (const { answered } of this.#waiting.values()) answered(undefined);
    this.#asked?.answered(undefined);
  }

  #started(): Worker {
    const worker = new Worker(new URL('../bench.worker.ts', import.meta.url), { type: 'module' });
    worker.addEventListener('message', ({ data }: MessageEvent<FromAnalyser>) => this.#take(data));
    worker.addEventListener('error', () => this.#fail());
    return worker;
  }

  #askNext(): void {
    const next = this.#next();
    if (this.#asked || !next) return;
    const [place, waiting] = next;
    this.#waiting.delete(place);
    const known = this.#kept.get(waiting.key);
    if (known) {
      waiting.answered(known);
      this.#askNext();
      return;
    }
    this.#count++;
    this.#asked = { ...waiting, place, id: this.#count };
    const message: ToAnalyser = { id: this.#count, query: waiting.query };
    this.#worker.postMessage(message);
  }

  /** These take longest and nobody looks at them at once: plots and warnings come first, unity, half a minute in some chains, last. */
  #next(): readonly [place: string, waiting: Waiting] | undefined {
    const all = [...this.#waiting];
    const isQuick = (kind: Query['kind']) => kind !== 'pop' && kind !== 'unity' && kind !== 'order';
    const find = (isNext: (kind: Query['kind']) => boolean) =>
      all.find(([, { query }]) => isNext(query.kind));
    return find(isQuick) ?? find((kind) => kind !== 'unity') ?? all[0];
  }

  #take({ id, answer }: FromAnalyser): void {
    const asked = this.#asked;
    if (asked?.id !== id) return;
    this.#asked = undefined;
    this.#keep(asked.key, answer);
    asked.answered(answer);
    this.#askNext();
  }

  #fail(): void {
    this.#asked?.answered({ kind: 'refused', message: 'The analysis failed. Reload the page.' });
    this.#asked = undefined;
    this.#askNext();
  }

  #keep(key: string, answer: Answer): void {
    this.#kept.set(key, answer);
    const [oldest] = this.#kept.keys();
    if (this.#kept.size > KEPT && oldest !== undefined) this.#kept.delete(oldest);
  }
}
