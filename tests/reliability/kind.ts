/** The result for one hostile input. */
export interface Verdict {
  /** The fault; undefined if the input was accepted, or refused in a sentence. */
  readonly fault: string | undefined;
  /** The measured quantity, for example the time in seconds. */
  readonly figure: number;
}

/**
 * Hostile inputs of one kind. A file in `kinds/`, or in `page-kinds/` if it needs a browser, exports one as `kind`; no
 * other file names it. An input depends only on its seed, so that a failed one can be tried again.
 */
export interface Kind {
  readonly name: string;
  /** The measured quantity, and the limit above which it is a fault. */
  readonly figure: { readonly name: string; readonly unit: string; readonly most: number };
  /** Fraction of the requested count, for inputs that take long. */
  readonly share?: number;
  readonly attempt: (seed: number) => Verdict | Promise<Verdict>;
  /** Closes everything that the trials have opened. */
  readonly end?: () => Promise<void>;
}

/** One line of the table. */
export interface KindResult {
  readonly kind: string;
  readonly tried: number;
  readonly passed: number;
  readonly worst: {
    readonly name: string;
    readonly value: number;
    readonly unit: string;
    readonly most: number;
  };
  readonly faults: readonly { readonly seed: number; readonly fault: string }[];
}

/** Tries this many inputs of a kind, from a first seed. */
export async function tryKind(
  kind: Kind,
  { seed, count }: { seed: number; count: number },
): Promise<KindResult> {
  const tried = Math.max(1, Math.round(count * (kind.share ?? 1)));
  const faults: { seed: number; fault: string }[] = [];
  let worst = 0;
  for (let at = seed; at < seed + tried; at++) {
    const { fault, figure } = await attemptSafely(kind, at);
    worst = Math.max(worst, figure);
    const { name, unit, most } = kind.figure;
    const why = fault ?? (figure > most ? `${name} ${figure.toFixed(2)} ${unit}` : undefined);
    if (why !== undefined) faults.push({ seed: at, fault: why });
  }
  await kind.end?.();
  const { name, unit, most } = kind.figure;
  return {
    kind: kind.name,
    tried,
    passed: tried - faults.length,
    worst: { name, value: worst, unit, most },
    faults,
  };
}

/** An error that the kind does not expect is a fault of the tested code. */
async function attemptSafely(kind: Kind, seed: number): Promise<Verdict> {
  try {
    return await kind.attempt(seed);
  } catch (error) {
    return { fault: error instanceof Error ? `${error.stack}` : String(error), figure: 0 };
  }
}
