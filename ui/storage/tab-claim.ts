const LOCK = 'cliplead-bench';
/** A reloaded page releases its lock a moment after the new page requests it. */
const PATIENCE_MS = 1500;

export type Claim = 'mine' | 'asking' | 'elsewhere';

interface ClaimOptions {
  readonly onChange: (claim: Claim) => void;
  /** Whether another tab has stored something since this one asked; its data must not be overwritten. */
  readonly hasBeenOvertaken: () => boolean;
}

/**
 * Decides which of several tabs stores its bench: the first, until another takes over. In a browser without
 * locks every tab stores its own, and the last one wins.
 */
export class TabClaim {
  readonly #options: ClaimOptions;
  /** Counts the requests, so that a late answer to an earlier one is known as such. */
  #request = 0;
  #giveBack: () => void = () => {};
  #claim: Claim = 'mine';

  constructor(options: ClaimOptions) {
    this.#options = options;
  }

  /** Asks for the claim, and goes on waiting for it while another tab has it. */
  ask(): void {
    this.#want({}, () => !this.#options.hasBeenOvertaken());
    const request = this.#request;
    setTimeout(() => {
      if (request === this.#request && this.#claim === 'asking') this.#tell('elsewhere');
    }, PATIENCE_MS);
  }

  /** Takes the claim from another tab, whatever that has stored. */
  takeOver(): void {
    this.#want({ steal: true }, () => true);
  }

  /** Releases the claim, as a closing tab does. */
  release(): void {
    this.#request++;
    this.#giveBack();
    if (this.#claim === 'asking') this.#tell('mine');
  }

  #want(options: LockOptions, isWelcome: () => boolean): void {
    this.#request++;
    const request = this.#request;
    if (!navigator.locks) return;
    this.#tell('asking');
    const granted = () => this.#hold(request, isWelcome);
    navigator.locks.request(LOCK, options, granted).catch(() => {
      // Taken over by another tab, or refused.
      if (request === this.#request) this.#tell('elsewhere');
    });
  }

  /** Holds the lock until it is given back. */
  #hold(request: number, isWelcome: () => boolean): Promise<void> | undefined {
    if (request !== this.#request) return undefined;
    const isMine = isWelcome();
    this.#tell(isMine ? 'mine' : 'elsewhere');
    if (!isMine) return undefined;
    return new Promise((resolve) => {
      this.#giveBack = resolve;
    });
  }

  #tell(claim: Claim): void {
    this.#claim = claim;
    this.#options.onChange(claim);
  }
}
