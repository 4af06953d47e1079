/** How a case looks to somebody with a soldering iron; each has a drawing of its own. */
export type Outline = 'axial' | 'LED' | 'flat' | 'can' | 'dip' | 'surface';

/**
 * Case and legs of a type. The order of the legs holds for one view: `flat` (TO-92) with the flat side towards you and the
 * legs down, from left to right; `can` from below, clockwise from the tab or dot; `dip` and `surface` by pin number, from
 * above and counter-clockwise from the notch; `axial` the end without the band first; `LED` the long leg first.
 */
export interface Footprint {
  /** "TO-92", "DO-35 (glass)". */
  readonly package: string;
  readonly outline: Outline;
  /** A letter or word for each leg; undefined where no source says it. */
  readonly legs: readonly string[] | undefined;
  /** Which legs serve as which end, where a transistor is wired as a diode. */
  readonly ends?: DiodeEnds;
  /** Document; ends in "from memory" where none was at hand. */
  readonly source: string;
  /** What to know before soldering, a sentence each. */
  readonly notes: readonly string[];
  /** What tells the legs, where `legs` is undefined; its datasheet where this is missing. */
  readonly lookAt?: string;
  /** Amplifiers in the case, of an op-amp. */
  readonly amplifiers?: 1 | 2;
}

/** Legs of a transistor that is wired as a diode. */
export interface DiodeEnds {
  readonly anode: readonly string[];
  readonly cathode: readonly string[];
}

/** Legs of a diode, as its symbol has them: anode and cathode. */
export const DIODE_LEGS = ['A', 'K'] as const;

const VIEW: Readonly<Record<Outline, string>> = {
  axial: 'the band is the cathode',
  LED: 'the long leg is the anode, the flat side the cathode',
  flat: 'flat side to you, legs down',
  can: 'from below, clockwise from the mark',
  dip: 'from above, pin 1 left of the notch',
  surface: 'from above',
};

/** Case and how it is looked at: "TO-92, flat side to you, legs down". */
export function caseText({ package: name, outline, legs, lookAt }: Footprint): string {
  return legs ? `${name}, ${VIEW[outline]}` : `${name}: pins not known, look at ${lookAt ?? DATASHEET}`;
}

/** "pins not known: look at its datasheet"; also of a type that is not in the tables. */
export function unknownPinsText(footprint: Footprint | undefined): string {
  return `pins not known: look at ${footprint?.lookAt ?? DATASHEET}`;
}

const DATASHEET = 'its datasheet';

/** The same with all legs: "TO-92, flat side to you, legs down: E B C". */
export function footprintText(footprint: Footprint): string {
  const { outline, legs, ends } = footprint;
  if (!legs || outline === 'axial' || outline === 'LED') return caseText(footprint);
  const isNumbered = outline === 'dip' || outline === 'surface';
  const named = isNumbered ? legs.map((leg, index) => `${index + 1} ${leg}`).join(', ') : legs.join(' ');
  return `${caseText(footprint)}: ${named}${ends ? `; ${endsText(ends)}` : ''}`;
}

/** "anode S, cathode G and D". */
export function endsText({ anode, cathode }: DiodeEnds): string {
  return `anode ${anode.join(' and ')}, cathode ${cathode.join(' and ')}`;
}
