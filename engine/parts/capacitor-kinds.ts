/** What a capacitor is made of, where it matters for the circuit. */
export type CapacitorKind = 'film' | 'C0G' | 'X7R-50V' | 'X7R-small' | 'X5R-small' | 'electrolytic';

/** What a kind does beside its value. */
export interface CapacitorKindData {
  readonly title: string;
  /** For the card, in one sentence. */
  readonly says: string;
  /** Share of the capacitance that is left at a DC voltage, by voltage, rising; 1 at 0 V. Absent if it stays. */
  readonly left?: readonly (readonly [volts: number, share: number])[];
  /** Leakage conductance for each farad, S/F, and loss resistance times capacitance, Ω·F. */
  readonly leakagePerFarad?: number;
  readonly seriesOhmFarads?: number;
  readonly source: string;
}

/** Limit of tan δ of a 25 V electrolytic at 120 Hz. */
const TAN_DELTA = 0.14;
const TAN_DELTA_HZ = 120;
/** At rated voltage: 0.01·C·V in µA with C in µF. */
const LEAKAGE_PER_FARAD = 0.01;

/** Least insulation resistance of other kinds: of small values, Ω, and times the capacitance of large ones, Ω·F. */
interface Insulation {
  readonly ohms: number;
  readonly ohmFarads: number;
}
/** Polyester film for 50 to 63 V; from memory. */
const FILM_INSULATION: Insulation = { ohms: 10e9, ohmFarads: 1250 };
/** Class 1 and 2 ceramic alike; from memory. */
const CERAMIC_INSULATION: Insulation = { ohms: 10e9, ohmFarads: 500 };

/**
 * Kinds that a builder can choose. Capacitance follows the DC voltage alone: what a signal does to a ceramic capacitor while it
 * swings is left out, and so is dielectric absorption.
 */
export const CAPACITOR_KINDS: Readonly<Record<CapacitorKind, CapacitorKindData>> = {
  film: {
    title: 'film',
    says: 'Polyester or polypropylene: the same at every voltage, so one film sounds like another here.',
    source: 'our estimate',
  },
  C0G: {
    title: 'C0G ceramic',
    says: 'Class 1: the same at every voltage.',
    source: 'EIA-198: 0 ± 30 ppm/K',
  },
  'X7R-50V': {
    title: 'X7R ceramic, 50 V',
    says: 'Class 2 with a high rating: loses little at the voltages of a pedal.',
    left: [
      [5, 0.98],
      [25, 0.85],
      [50, 0.6],
    ],
    source: 'estimate',
  },
  'X7R-small': {
    title: 'X7R ceramic, small',
    says: 'Class 2 in a small case: loses a fifth at half of a 9 V supply.',
    left: [
      [5, 0.8],
      [12, 0.7],
      [15, 0.7],
      [25, 0.5],
    ],
    source: '1 µF 25 V X7R 0805 (GRM21BR71E105KA99), maker’s curve as quoted in a forum',
  },
  'X5R-small': {
    title: 'X5R ceramic, small',
    says: 'Class 2 in the smallest case for its value: loses more than half at half of a 9 V supply.',
    left: [
      [1, 20 / 22],
      [5, 9 / 22],
      [12, 4 / 22],
      [15, 3 / 22],
      [25, 2 / 22],
    ],
    source: '22 µF 25 V X5R 0805 (GRM21BR61E226ME44L), maker’s curve as quoted in a forum',
  },
  electrolytic: {
    title: 'electrolytic',
    says: 'Leaks and has a series resistance, here at the limits of its data sheet, but no resistance at a supply or bias. Its tolerance is ± 20 %.',
    leakagePerFarad: LEAKAGE_PER_FARAD,
    seriesOhmFarads: TAN_DELTA / (2 * Math.PI * TAN_DELTA_HZ),
    source: 'Nichicon MA, Lelon RGA: leakage 0.01·C·V, tan δ 0.14 at 25 V and 120 Hz',
  },
};

export const CAPACITOR_KIND_NAMES = Object.keys(CAPACITOR_KINDS) as readonly CapacitorKind[];

/** The most that a capacitor of a kind leaks by its data sheet, as a resistance, Ω. */
export function leakageOhms(kind: CapacitorKind, farads: number): number {
  const { leakagePerFarad } = CAPACITOR_KINDS[kind];
  if (leakagePerFarad !== undefined) return 1 / (leakagePerFarad * farads);
  const { ohms, ohmFarads } = kind === 'film' ? FILM_INSULATION : CERAMIC_INSULATION;
  return Math.min(ohms, ohmFarads / farads);
}

/** Share of its capacitance that a kind has left at a DC voltage of either sign, by lines between its points. */
export function capacitanceLeft(kind: CapacitorKind, volts: number): number {
  const points = [[0, 1] as const, ...(CAPACITOR_KINDS[kind].left ?? [])];
  const size = Math.abs(volts);
  const above = points.findIndex(([at]) => at >= size);
  if (above === 0) return 1;
  if (above < 0) return points.at(-1)![1];
  const [low, lowShare] = points[above - 1]!;
  const [high, highShare] = points[above]!;
  return lowShare + ((size - low) / (high - low)) * (highShare - lowShare);
}
