import type { FromSwapWorker, SwapAnswer, SwapRequest, ToSwapWorker } from './swap-messages.ts';
import { SwapPreparer } from './swap-preparer.ts';

/** Prepares one request after the other; the next begins after the one before has been answered. */
export interface SwapMaker {
  prepare(request: SwapRequest, answered: (answer: SwapAnswer) => void): void;
}

/** On the page's own thread, at once: for browsers without workers. The page stops meanwhile. */
export class SwapsOnPage implements SwapMaker {
  readonly #preparer = new SwapPreparer();

  prepare(request: SwapRequest, answered: (answer: SwapAnswer) => void): void {
    answered(this.#answer(request));
  }

  /** After a fault of the program this swap is refused and reported; without an answer no other swap would follow. */
  #answer(request: SwapRequest): SwapAnswer {
    try {
      return this.#preparer.prepare(request);
    } catch (error) {
      reportError(error);
      return { kind: 'refused', slot: request.builds.a ? 'a' : 'b', message: PREPARING_FAILED };
    }
  }
}

const PREPARING_FAILED = 'The program failed while it prepared this change. Everything else goes on.';

/** The slowest swap takes a second on a slow machine; a worker that takes longer has failed or never started. */
const PATIENCE_MS = 20_000;
const MOST_TRIES = 2;
/** After this time without an answer the page says that it waits. */
const SLOW_MS = 1000;

const NO_WORKERS = pageSentence('this browser runs no workers', '');
const FAILED = pageSentence('the worker that prepares swaps failed', ' Reload the page to try again.');

function pageSentence(why: string, remedy: string): string {
  return `Each swap stops the page for a moment, since ${why}.${remedy}`;
}

interface Asked {
  readonly id: number;
  readonly request: SwapRequest;
  readonly answered: (answer: SwapAnswer) => void;
  readonly tries: number;
}

/** What the maker needs of a worker. */
export type SwapWorker = Pick<Worker, 'postMessage' | 'terminate' | 'addEventListener'>;

/**
 * In a worker. A worker that fails or does not answer is replaced and asked again; if the new one fails too, the
 * request is prepared on the page, which reports this, and the next request goes to a worker again.
 */
export class SwapsInWorker implements SwapMaker {
  readonly #start: () => SwapWorker;
  readonly #report: (problem: string | undefined) => void;
  readonly #onSlow: (isSlow: boolean) => void;
  readonly #onPage = new SwapsOnPage();
  #worker: SwapWorker | undefined;
  #asked: Asked | undefined;
  #count = 0;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #slowTimer: ReturnType<typeof setTimeout> | undefined;
  #isSlow = false;
  #isClosed = false;

  /**
   * @param start Makes a worker that runs bench.worker.ts; may throw.
   * @param report Called with the problem, and with undefined once it is solved.
   * @param onSlow Called when an answer takes more than a second, and when it has come.
   */
  constructor(
    start: () => SwapWorker,
    report: (problem: string | undefined) => void,
    onSlow: (isSlow: boolean) => void = () => {},
  ) {
    this.#start = start;
    this.#report = report;
    this.#onSlow = onSlow;
  }

  prepare(request: SwapRequest, answered: (answer: SwapAnswer) => void): void {
    this.#isClosed = false;
    this.#slowTimer = setTimeout(() => this.#setSlow(true), SLOW_MS);
    const answeredInTime = (answer: SwapAnswer) => {
      clearTimeout(this.#slowTimer);
      this.#setSlow(false);
      answered(answer);
    };
    this.#ask(request, answeredInTime, 1);
  }

  #setSlow(isSlow: boolean): void {
    if (isSlow === this.#isSlow) return;
    this.#isSlow = isSlow;
    this.#onSlow(isSlow);
  }

  /** Ends the worker after it has answered. The next request starts another. */
  close(): void {
    this.#isClosed = true;
    if (!this.#asked) this.#endWorker();
  }

  #endWorker(): void {
    this.#worker?.terminate();
    this.#worker = undefined;
  }

  #ask(request: SwapRequest, answered: Asked['answered'], tries: number): void {
    const worker = this.#runningWorker();
    if (!worker) {
      this.#prepareHere(request, answered, NO_WORKERS);
      return;
    }
    this.#count++;
    this.#asked = { id: this.#count, request, answered, tries };
    this.#timer = setTimeout(() => this.#lose(worker), PATIENCE_MS);
    const message: ToSwapWorker = { id: this.#count, swap: request };
    worker.postMessage(message);
  }

  #runningWorker(): SwapWorker | undefined {
    if (this.#worker) return this.#worker;
    try {
      const worker = this.#start();
      worker.addEventListener('message', (event) => this.#take((event as MessageEvent<FromSwapWorker>).data));
      worker.addEventListener('error', () => this.#lose(worker));
      worker.addEventListener('messageerror', () => this.#lose(worker));
      this.#worker = worker;
      return worker;
    } catch {
      return undefined;
    }
  }

  #take({ id, answer }: FromSwapWorker): void {
    const asked = this.#asked;
    if (asked?.id !== id) return;
    this.#end();
    if (this.#isClosed) this.#endWorker();
    this.#report(undefined);
    asked.answered(answer);
  }

  #lose(worker: SwapWorker): void {
    if (worker !== this.#worker) return;
    this.#endWorker();
    const asked = this.#asked;
    this.#end();
    if (!asked) return;
    const { request, answered, tries } = asked;
    if (tries < MOST_TRIES) this.#ask(request, answered, tries + 1);
    else this.#prepareHere(request, answered, FAILED);
  }

  #end(): void {
    clearTimeout(this.#timer);
    this.#asked = undefined;
  }

  #prepareHere(request: SwapRequest, answered: Asked['answered'], problem: string): void {
    this.#report(problem);
    this.#onPage.prepare(request, answered);
  }
}
