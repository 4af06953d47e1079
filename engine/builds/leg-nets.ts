import { type FootswitchPosition, partsOf } from '../circuits/circuit.ts';
import { GROUND_NET } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { PartSpec } from '../circuits/part-spec.ts';
import type { NodeName } from '../devices/node.ts';
import type { DiodeEnds, Footprint } from '../parts/footprint.ts';
import { footprintOf } from '../parts/footprint-change.ts';
import type { Build } from './build.ts';
import { netsOf } from './network-of-build.ts';

/** A leg of a part with a case. */
export interface Leg {
  /** Counted as the part's footprint counts, from 1. */
  readonly number: number;
  /** "OUT A", "E"; as its data sheet has it. */
  readonly name: string;
  /** The pin of the circuit that it is; absent where nothing is connected. */
  readonly pin?: string;
  /** Node of a build's network; a leg of a pump, whose voltage jumps, has the name of its net all the same. */
  readonly net?: NodeName;
}

/** A case on the board: a diode, a transistor, a chip. */
export interface PartLegs {
  /** "U1"; "U1A" where a single op-amp takes the place of half of a dual one. */
  readonly ref: string;
  readonly type: string;
  /** Undefined for a piece whose type nobody knows. */
  readonly footprint: Footprint | undefined;
  /** None where no source says which leg is which. */
  readonly legs: readonly Leg[];
}

/** Legs of a transistor by the letter on its data sheet. */
const TRANSISTOR_PINS: Readonly<Record<string, string>> = {
  C: 'collector',
  B: 'base',
  E: 'emitter',
  D: 'drain',
  G: 'gate',
  S: 'source',
};
const CONVERTER_PINS: Readonly<Record<string, string>> = {
  'V+': 'supply',
  OUT: 'inverted',
  'CAP+': 'cap-plus',
  'CAP−': 'cap-minus',
  BOOST: 'boost',
};
/** Of an op-amp, without the letter of the half. */
const OPAMP_PINS: Readonly<Record<string, string>> = {
  OUT: 'out',
  '+': 'plus',
  '−': 'minus',
  'V+': 'positive',
  'V−': 'negative',
};

/** Each fitted diode, transistor and chip of a build with its legs and their nets, in the order of the stages. */
export function legsOfBuild(build: Build, position: FootswitchPosition = 'on'): readonly PartLegs[] {
  const netOf = netsOf(build, position);
  const cases = new Map<string, PartLegs>();
  for (const [ref, { part }] of partsOf(fittedCircuit(build))) {
    const place = part.kind === 'opamp' ? part.package : ref;
    const { type, fit } = build.parts[place] ?? {};
    if (type === undefined || fit !== undefined || cases.has(place)) continue;
    const footprint = footprintOf(type);
    const halves = part.kind === 'opamp' ? halvesOf(build, place) : [ref];
    // A dual case has all halves of a package; single ones stand alone.
    const groups = footprint?.amplifiers === 1 ? halves.map((half) => [half]) : [halves];
    for (const group of groups) {
      const own = groups.length > 1 ? group[0]! : place;
      cases.set(own, { ref: own, type, footprint, legs: legsOf(footprint, part, group, netOf) });
    }
    cases.set(place, cases.get(place) ?? cases.get(groups[0]![0]!)!);
  }
  return [...new Set(cases.values())];
}

function halvesOf(build: Build, place: string): readonly string[] {
  return [...partsOf(fittedCircuit(build))].flatMap(([ref, { part }]) =>
    part.kind === 'opamp' && part.package === place ? [ref] : [],
  );
}

function legsOf(
  footprint: Footprint | undefined,
  part: PartSpec,
  halves: readonly string[],
  netOf: (pin: string) => NodeName,
): readonly Leg[] {
  return (footprint?.legs ?? []).map((name, index) => {
    const leg = { number: index + 1, name };
    if (part.kind === 'converter' && name === 'GND') return { ...leg, net: GROUND_NET };
    const pin = pinOf(name, footprint!, part, halves);
    return pin === undefined ? leg : { ...leg, pin, net: netOf(pin) };
  });
}

function pinOf(
  name: string,
  { ends }: Footprint,
  part: PartSpec,
  halves: readonly string[],
): string | undefined {
  const [first] = halves;
  switch (part.kind) {
    case 'opamp':
      return opampPin(name, halves);
    case 'converter': {
      const pin = CONVERTER_PINS[name];
      return pin !== undefined && (part.pump || pin === 'supply' || pin === 'inverted')
        ? `${first}.${pin}`
        : undefined;
    }
    case 'diode':
      if (ends) return diodeEnd(name, ends, first!);
      return `${first}.${name === 'A' ? 'anode' : 'cathode'}`;
    default:
      return TRANSISTOR_PINS[name] === undefined ? undefined : `${first}.${TRANSISTOR_PINS[name]}`;
  }
}

/** The end that a leg of a transistor serves as; none for one that stays open. */
function diodeEnd(name: string, { anode, cathode }: DiodeEnds, ref: string): string | undefined {
  if (anode.includes(name)) return `${ref}.anode`;
  return cathode.includes(name) ? `${ref}.cathode` : undefined;
}

/** "OUT B", "−A": the halves of a package are A and B in the order of the circuit. Halves share the supply pins. */
function opampPin(name: string, halves: readonly string[]): string | undefined {
  const letter = /(?:^|[ +−])([AB])$/.exec(name)?.[1];
  const half = halves[letter === 'B' ? 1 : 0];
  const pin = OPAMP_PINS[letter === undefined ? name : name.slice(0, -1).trim()];
  return half === undefined || pin === undefined ? undefined : `${half}.${pin}`;
}
