import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';

/** What takes the time at the factor above the one that plays. All shares are of music, of a block's duration. */
export interface MeasuredCause {
  /** The factor at which all this was measured. */
  readonly at: number;
  /**
   * Undefined where both sides have one structure and are computed together. Otherwise the time of both sides if both were like
   * the slower one, and whether they have the same pedals in different orders.
   */
  readonly apart: { readonly likeShare: number; readonly isOrder: boolean } | undefined;
  /** Each pedal that is on, alone on the bench, in the order of the signal. */
  readonly pedals: Readonly<Record<Slot, readonly number[]>>;
}

/** The same, with the pedals' titles. */
export interface RateCause extends Pick<MeasuredCause, 'at' | 'apart'> {
  readonly pedals: Readonly<Record<Slot, readonly PedalShare[]>>;
}

interface PedalShare {
  readonly title: string;
  readonly share: number;
}

export const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** With titles in place of positions. */
export function titledCause(
  { at, apart, pedals }: MeasuredCause,
  titles: Readonly<Record<Slot, readonly string[]>>,
): RateCause {
  const titled = (slot: Slot) =>
    pedals[slot].map((share, position) => ({ title: titles[slot][position] ?? '', share }));
  return { at, apart, pedals: { a: titled('a'), b: titled('b') } };
}

/** The same for sides that were exchanged. */
export function exchanged({ pedals, ...others }: MeasuredCause): MeasuredCause {
  return { ...others, pedals: { a: pedals.b, b: pedals.a } };
}

/** A sentence or two: what takes the time. */
export function causeText({ at, apart, pedals }: RateCause): string {
  const sides = SLOTS.filter((slot) => pedals[slot].length > 0).map((slot) => {
    const shares = pedals[slot].map(({ title, share }) => `${title} ${percent(share)}`);
    return `${slot.toUpperCase()}: ${shares.join(', ')}`;
  });
  const each = sides.length > 0 ? [`Each pedal alone at ${at}×: ${sides.join('; ')}.`] : [];
  return [...(apart ? [apartText(at, apart)] : []), ...each].join(' ');
}

function apartText(at: number, { likeShare, isOrder }: NonNullable<RateCause['apart']>): string {
  const [differ, alike] = isOrder
    ? ['A and B have the same pedals in different orders', 'in one order']
    : ['A and B differ in pedals or in parts fitted', 'with the same on both sides'];
  return `${differ}, so each is computed alone; ${alike} they would need ${percent(likeShare)} at ${at}×.`;
}

/** The main cause in a few words; empty if there is no pedal. @param most Largest share with which that factor is played. */
export function causeWord({ apart, pedals }: RateCause, most: number): string {
  if (apart && apart.likeShare <= most) return apart.isOrder ? 'different orders' : 'A and B differ';
  const total = (side: readonly PedalShare[]) => side.reduce((sum, { share }) => sum + share, 0);
  const side = total(pedals.b) > total(pedals.a) ? pedals.b : pedals.a;
  const largest = side.find(({ share }) => 2 * share > total(side));
  if (side.length === 0) return '';
  return largest ? largest.title : `${side.length} pedals`;
}
