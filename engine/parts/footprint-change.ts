import { CHIP_FOOTPRINTS } from './chip-footprints.ts';
import { DIODE_FOOTPRINTS } from './diode-footprints.ts';
import { endsText, type Footprint } from './footprint.ts';
import { catalogueTypeOf } from './part-types.ts';
import { isPieceText, pieceOfText, typeName } from './piece.ts';
import { TRANSISTOR_FOOTPRINTS } from './transistor-footprints.ts';

/** Case and legs of a type of the catalogue, and of a piece of one; undefined for any other. */
export function footprintOf(text: string): Footprint | undefined {
  const type = catalogueTypeOf(text);
  if (isPieceText(text) && isGuessed(text)) return unmarked(DIODE_FOOTPRINTS.get(type));
  return DIODE_FOOTPRINTS.get(type) ?? TRANSISTOR_FOOTPRINTS.get(type) ?? CHIP_FOOTPRINTS.get(type);
}

function isGuessed(text: string): boolean {
  const piece = pieceOfText(text);
  return piece.kind === 'diode' && piece.isLikeGuessed === true;
}

/** A diode with nothing printed on it: the type that its readings are near to says nothing of its case. */
function unmarked(like: Footprint | undefined): Footprint {
  return {
    package: 'Case not known',
    outline: like?.outline ?? 'axial',
    legs: undefined,
    lookAt: 'the part',
    source: 'none',
    notes: ['Nothing is printed on it: find the cathode with a diode tester.'],
  };
}

/** What a swap asks of the builder's hands. */
export interface FootprintChange {
  /** Whether the new part goes in as the old one stood, or only turned round. */
  readonly fits: boolean;
  /** What to do, in a sentence without a stop. */
  readonly action: string;
}

/** A part at a place by its type. */
interface Placed {
  readonly type: string;
  readonly footprint: Footprint;
}

/** What to do, as a sentence. */
export function actionText({ action }: FootprintChange): string {
  return `${action.slice(0, 1).toUpperCase()}${action.slice(1)}.`;
}

/** What to do with a new type where another one stood. */
export function footprintChange(before: string, after: string): FootprintChange {
  const [from, to] = [placed(before), placed(after)];
  if (!to?.footprint.legs) return unknown(after);
  if (!from?.footprint.legs) return unknown(before);
  const known = [from, to] as const;
  const { outline } = to.footprint;
  if (outline === 'dip' || to.footprint.amplifiers !== undefined) return chipChange(...known);
  if (outline === 'surface') return surfaceChange(...known);
  if (isDiode(to.footprint) || isDiode(from.footprint)) return diodeChange(...known);
  return transistorChange(...known);
}

function placed(type: string): { readonly type: string; readonly footprint: Footprint } | undefined {
  const footprint = footprintOf(type);
  return footprint && { type: typeName(type), footprint };
}

function unknown(type: string): FootprintChange {
  const at = footprintOf(type)?.lookAt ?? 'its datasheet';
  return { fits: false, action: `pins of ${typeName(type)} not known: look at ${at}` };
}

function isDiode({ outline, ends }: Footprint): boolean {
  return outline === 'axial' || outline === 'LED' || ends !== undefined;
}

function surfaceChange(from: Placed, to: Placed): FootprintChange {
  const { package: name } = to.footprint;
  if (from.footprint === to.footprint)
    return { fits: true, action: `same footprint, ${name}, the same way round` };
  return { fits: false, action: `${to.type} needs an adapter: ${name}` };
}

function transistorChange(from: Placed, to: Placed): FootprintChange {
  const [old, own] = [from.footprint.legs!, to.footprint.legs!];
  const both = `${to.type} has its legs ${own.join(' ')}, ${from.type} ${old.join(' ')}`;
  if (from.footprint.outline !== to.footprint.outline)
    return {
      fits: false,
      action: `another case, ${to.footprint.package} where ${from.footprint.package} was: go by the letters (${own.join(' ')})`,
    };
  const crossed = crossedLegs(old, own);
  if (crossed === '') return { fits: true, action: `same footprint, legs ${own.join(' ')}` };
  const turned = crossedLegs(old, [...own].reverse());
  if (turned === '') return { fits: true, action: `${both}: turn it round, flat side the other way` };
  const [turn, legs] = crossed.length <= turned.length ? ['', crossed] : ['turn it round and ', turned];
  return { fits: false, action: `${both}: ${turn}cross ${legs}, with a sleeve` };
}

/** The legs that are not where the old part had them: "" or "B and C". */
function crossedLegs(old: readonly string[], own: readonly string[]): string {
  return own.filter((leg, index) => leg !== old[index]).join(' and ');
}

function diodeChange(from: Placed, to: Placed): FootprintChange {
  const { ends, outline, package: name } = to.footprint;
  if (ends)
    return {
      fits: false,
      action: `no diode case, ${name}: ${endsText(ends)} where ${cathodeMark(from)} was`,
    };
  const isSame = outline === from.footprint.outline;
  const way = outline === 'axial' ? 'band' : 'flat side and short leg';
  if (!isSame)
    return { fits: false, action: `another case, ${name}: ${way} (cathode) where ${cathodeMark(from)} was` };
  if (name === from.footprint.package) return { fits: true, action: `same footprint, ${way} the same way` };
  return {
    fits: false,
    action: `another size, ${name} where ${from.footprint.package} was; ${way} the same way`,
  };
}

function cathodeMark({ footprint: { outline, ends } }: Placed): string {
  if (ends) return ends.cathode.join(' and ');
  if (outline === 'surface') return 'K';
  return outline === 'axial' ? 'the band' : 'the flat side';
}

function chipChange(from: Placed, to: Placed): FootprintChange {
  const { amplifiers, outline } = to.footprint;
  const isSingleNow = from.footprint.amplifiers === 1;
  if (amplifiers === 1 && !isSingleNow)
    return { fits: false, action: `${to.type} is single: two of them on an adapter for a dual place` };
  if (outline === 'surface') return surfaceChange(from, to);
  if (amplifiers !== 1 && isSingleNow)
    return { fits: true, action: 'dual: goes into the place without the adapter' };
  if (from.footprint.outline === 'surface')
    return { fits: true, action: 'goes into the place without the adapter, notch the same way' };
  const other = otherPins(from.footprint.legs!, to.footprint.legs!);
  if (other === '') return { fits: true, action: 'same footprint, notch the same way' };
  return { fits: false, action: `notch the same way, but ${other}: check what the board does there` };
}

/** "pin 1 is BOOST, was not connected". */
function otherPins(old: readonly string[], own: readonly string[]): string {
  return own
    .map((leg, index) => ({ leg, before: old[index], pin: index + 1 }))
    .filter(({ leg, before }) => leg !== before)
    .map(({ leg, before, pin }) => `pin ${pin} is ${leg}, was ${before}`)
    .join('; ');
}
