/** What became of one hostile input. */
export interface Verdict {
  /** What should not have happened, undefined where the input was taken or refused in a sentence. */
  readonly fault: string | undefined;
  /** What the kind measures, such as the seconds that it took. */
  readonly figure: number;
}

/**
 * Hostile inputs of one kind. A file in `kinds/`, or in `page-kinds/` where a browser is needed, exports one as `kind`; nothing else has to know of it. An input is
 * drawn by its seed alone, so that what failed can be tried again.
 */
export interface Kind {
  readonly name: string;
  /** What is measured, and beyond which value it is a fault. */
  readonly figure: { readonly name: string; readonly unit: string; readonly most: number };
  /** Share of the count that is asked for, where one input takes long. */
  readonly share?: number;
  readonly attempt: (seed: number) => Verdict | Promise<Verdict>;
  /** Closes what the attempts have opened. */
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

/** Tries a kind from a seed on, so many times. */
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

/** What a kind does not expect to be thrown is a fault of what was tried. */
async function attemptSafely(kind: Kind, seed: number): Promise<Verdict> {
  try {
    return await kind.attempt(seed);
  } catch (error) {
    return { fault: error instanceof Error ? `${error.stack}` : String(error), figure: 0 };
  }
}
