import { type Origin, partName } from '../devices/origin.ts';
import type { Network } from '../network/network.ts';
import type { Element } from './partition.ts';

/** Between a wiper and the end to which it is turned, ohms; from memory, a few ohms on new ones. */
const END_OHMS = 2;

/** A track: the resistance of its halves together, and which piece of the part is its first half. */
export interface Track {
  readonly ohms: number;
  readonly first: Origin['piece'];
}

/** The tracks of a network by the names of their parts, before a half that carries no current is left out of it. */
export function tracksOf({ primitives }: Network): ReadonlyMap<string, Track> {
  const tracks = new Map<string, Track>();
  for (const primitive of primitives) {
    if (primitive.kind !== 'resistor' || !primitive.isTrack) continue;
    const part = partName(primitive.origin);
    const { ohms = 0, first = primitive.origin.piece } = tracks.get(part) ?? {};
    tracks.set(part, { ohms: ohms + primitive.ohms, first });
  }
  return tracks;
}

/** Where knobs stand: at which end, by the name of the part. */
export type Turns = ReadonlyMap<string, 0 | 1>;

/** All knobs at either end, and each alone at the other: the positions in which a circuit does the most of something. */
export function extremeTurns(tracks: ReadonlyMap<string, Track>): Turns[] {
  const parts = [...tracks.keys()];
  const all = (end: 0 | 1): Turns => new Map(parts.map((part) => [part, end]));
  const ends = parts.length > 0 ? ([0, 1] as const) : ([0] as const);
  const single = parts.length > 1 ? parts : [];
  return ends.flatMap((end) => [
    all(end),
    ...single.map((part) => new Map<string, 0 | 1>([...all(end), [part, end === 0 ? 1 : 0]])),
  ]);
}

/** The elements with knobs turned to their ends. */
export function turnedElements(
  elements: readonly Element[],
  tracks: ReadonlyMap<string, Track>,
  turns: Turns,
): Element[] {
  return elements.map((element) => {
    const { primitive } = element;
    const track =
      primitive.kind === 'resistor' && primitive.isTrack && tracks.get(partName(primitive.origin));
    if (!track) return element;
    const isFirst = primitive.origin.piece === track.first;
    const isWhole = isFirst === (turns.get(partName(primitive.origin)) === 1);
    return { ...element, primitive: { ...primitive, ohms: isWhole ? track.ohms : END_OHMS } };
  });
}
