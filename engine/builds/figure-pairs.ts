import { figureUnit, type PartFigure } from '../circuits/part-figure.ts';

/** A part, and the figures that it changes. */
export interface FiguresOfPart {
  readonly ref: string;
  readonly figures: readonly PartFigure[];
}

/**
 * What the part with the same job in another circuit has for a figure of a part: the one of the same name and unit. Where the
 * two documents name it differently, it is the only one of this kind that each part decides most; undefined if there is none.
 */
export function figureBeside(
  figure: PartFigure,
  own: FiguresOfPart,
  other: FiguresOfPart,
): PartFigure | undefined {
  const named = other.figures.find((each) => isNamedLike(each, figure));
  if (named) return named;
  const free = (side: FiguresOfPart, beside: FiguresOfPart) =>
    side.figures.filter(
      (each) =>
        each.parts[0] === side.ref &&
        isOneKind(each, figure) &&
        !beside.figures.some((their) => isNamedLike(their, each)),
    );
  const [mine, theirs] = [free(own, other), free(other, own)];
  return mine.length === 1 && mine[0] === figure && theirs.length === 1 ? theirs[0] : undefined;
}

function isNamedLike(one: PartFigure, other: PartFigure): boolean {
  return one.name === other.name && figureUnit(one) === figureUnit(other);
}

/** Of one formula; corners with the passband on the same side, as far as the documents say. */
function isOneKind(one: PartFigure, other: PartFigure): boolean {
  if (one.formula !== 'corner' || other.formula !== 'corner') return one.formula === other.formula;
  return one.transfer !== undefined && one.transfer.passband === other.transfer?.passband;
}
