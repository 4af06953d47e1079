/**
 * The origin of a primitive, so that code need not read it from a name: the unit of a composed network, the part
 * in it, and which of the part's primitives this one is.
 */
export interface Origin {
  /** The unit: "guitar", "second"; '' for the network's own. See `compose`. */
  readonly unit: string;
  /** Reference designator of the part: "VR1". */
  readonly ref: string;
  /** "ccw", "piggyback", "breakdown"; absent for a part's only or main primitive. */
  readonly piece?: string;
}

/** What every primitive has besides its kind, its nodes and its numbers. */
export interface PrimitiveBase {
  /**
   * Name for messages and tables, unique in its network: "VR1 ccw", "guitar:pickup coil". Code must not read anything
   * from it.
   */
  readonly ref: string;
  readonly origin: Origin;
}

/** Name and origin of a part's only or main primitive. */
export function ofPart(ref: string): PrimitiveBase {
  return named({ unit: '', ref });
}

/** The same for a piece of the part; a piece can have pieces: "D1 piggyback breakdown". */
export function ofPiece({ origin }: PrimitiveBase, word: string): PrimitiveBase {
  return named({ ...origin, piece: origin.piece === undefined ? word : `${origin.piece} ${word}` });
}

/** The same in a unit of a composed network. */
export function ofUnit({ origin }: PrimitiveBase, unit: string): PrimitiveBase {
  return named({ ...origin, unit: inUnit(unit, origin.unit) });
}

/**
 * The name that a unit's name gets in the composed network. A circuit's own names have no colon. The unit ''
 * leaves names unchanged.
 */
export function inUnit(unit: string, name: string): string {
  if (unit === '') return name;
  return name === '' ? unit : `${unit}:${name}`;
}

/** A part by its designator, preceded by its unit if this is not the network's own: "guitar:pickup". */
export function partName({ unit, ref }: Origin): string {
  return inUnit(unit, ref);
}

function named(origin: Origin): PrimitiveBase {
  const { unit, ref, piece } = origin;
  return { ref: inUnit(unit, piece === undefined ? ref : `${ref} ${piece}`), origin };
}
