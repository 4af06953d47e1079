/** The most voltage that a transistor stands across its output. */
export interface VoltageLimit {
  readonly volts: number;
  /** "from collector to emitter with the base open", as data sheets state it. */
  readonly across: string;
  /** Document; ends in "from memory" where none was at hand. */
  readonly source: string;
}

const MEMORY = 'from memory';
const COLLECTOR = 'from collector to emitter';
const CHANNEL = 'from drain to gate';

function each(
  across: string,
  limits: Readonly<Record<string, number>>,
): readonly (readonly [string, VoltageLimit])[] {
  return Object.entries(limits).map(([type, volts]) => [type, { volts, across, source: MEMORY }]);
}

/** By type: the breakdown voltage with the base open for bipolar transistors, that of the gate's diode for JFETs. */
export const TRANSISTOR_LIMITS: ReadonlyMap<string, VoltageLimit> = new Map([
  ...each(COLLECTOR, {
    '2N3904': 40,
    '2N3906': 40,
    '2N5088': 30,
    '2N5089': 25,
    '2N2222': 30,
    '2N404': 24,
    '2N1305': 20,
    '2SC945': 50,
    '2SC1815': 50,
    AC125: 12,
    AC126: 12,
    AC128: 16,
    BC108: 20,
    BC547B: 45,
    BC549C: 30,
    BC550C: 45,
    MPSA13: 30,
    MPSA18: 45,
    OC44: 15,
  }),
  ...each(CHANNEL, {
    '2N5457': 25,
    '2N5460': 40,
    '2N5461': 40,
    '2N5462': 40,
    '2N5484': 25,
    '2N5952': 30,
    BF245A: 30,
    BF245B: 30,
    J113: 35,
    J201: 40,
  }),
  ...each('from drain to source', { '2N7000': 60, BS170: 60 }),
]);
