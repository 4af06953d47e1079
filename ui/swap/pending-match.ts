import type { FoundLoudness } from '../ear/match-desk.ts';
import type { BenchState } from '../state/bench-state.ts';

/** A swap waits for its level match for so long, counted from the request. */
const PATIENCE_MS = 150;

/** Where the match of a state that is being prepared comes from. */
export interface SwapMatches {
  begin(state: BenchState): PendingMatch;
}

/** The level match of a swap, while its circuits are prepared. */
export class PendingMatch {
  #found: FoundLoudness | undefined;
  #isOver: boolean;
  #proceed: (() => void) | undefined;

  /** @param finding Undefined where nothing has to be matched; rejected where there is no match. */
  constructor(finding: Promise<FoundLoudness> | undefined, patienceMs = PATIENCE_MS) {
    this.#isOver = finding === undefined;
    if (!finding) return;
    setTimeout(() => this.hurry(), patienceMs);
    finding.then(
      (found) => {
        this.#found = found;
        this.hurry();
      },
      () => this.hurry(),
    );
  }

  /** Undefined as long as it is not known. */
  get found(): FoundLoudness | undefined {
    return this.#found;
  }

  /** Calls back once: now, when the match is found, or when there has been enough waiting. */
  wait(proceed: () => void): void {
    if (this.#isOver) proceed();
    else this.#proceed = proceed;
  }

  /** Ends the waiting. */
  hurry(): void {
    this.#isOver = true;
    const proceed = this.#proceed;
    this.#proceed = undefined;
    proceed?.();
  }
}

export const NO_MATCHES: SwapMatches = { begin: () => new PendingMatch(undefined) };
