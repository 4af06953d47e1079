import { refText } from '../builds/alias.ts';
import type { Build } from '../builds/build.ts';
import { type Leg, legsOfBuild, type PartLegs } from '../builds/leg-nets.ts';
import { boardNetsOf } from '../builds/network-of-build.ts';
import { partsOf } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { endsText, type Footprint } from '../parts/footprint.ts';
import { typeName } from '../parts/piece.ts';
import { footswitchLugs } from './footswitch-lugs.ts';

/** A leg of an active part, and what it is soldered to. */
export interface PinoutPin {
  /** Pin number of a chip, letter of a leg. */
  readonly lug: string;
  /** "OUT A", "emitter". */
  readonly name: string;
  /** Pin of the circuit; absent on a leg that no part of the circuit uses. */
  readonly pin?: string;
  readonly net?: string;
}

/** Case and legs of one active part, seen from above. */
export interface Pinout {
  readonly ref: string;
  readonly title: string;
  /** Undefined for a type that is not in the tables. */
  readonly footprint: Footprint | undefined;
  /** In the order of the footprint. */
  readonly pins: readonly PinoutPin[];
  readonly notes: readonly string[];
}

/** The active parts that are fitted: chips, transistors, diodes, with the nets of the board. */
export function pinoutsOf(build: Build): readonly Pinout[] {
  const circuit = fittedCircuit(build);
  const nets = boardNetsOf(build);
  const led = footswitchLugs(build, circuit, nets).items.flatMap(({ lugs }) => lugs);
  const netOf = ({ pin, net }: Leg) =>
    pin === undefined ? net : (led.find((lug) => lug.pin === pin)?.net ?? nets(pin));
  const found = legsOfBuild(build).map((part) => pinoutOf(build, part, netOf));
  return found.sort((one, other) => placeOf(one) - placeOf(other));
}

/** Chips first, then transistors, then diodes. */
function placeOf({ footprint, pins }: Pinout): number {
  if (pins.length > 3) return 0;
  return footprint?.outline === 'axial' || footprint?.outline === 'LED' ? 2 : 1;
}

function pinoutOf(build: Build, part: PartLegs, netOf: (leg: Leg) => string | undefined): Pinout {
  const { ref, type, footprint, legs } = part;
  const isChip = legs.length > 3 || footprint?.outline === 'surface';
  const pins = legs.map((leg): PinoutPin => {
    const net = netOf(leg);
    const lug = isChip ? `${leg.number}` : leg.name;
    const name = isChip ? leg.name : legName(leg, footprint);
    return { lug, name, ...(leg.pin !== undefined && { pin: leg.pin }), ...(net !== undefined && { net }) };
  });
  const title = `${refText(build, ref)} ${typeName(type)}`;
  return { ref, title, footprint, pins, notes: notesOf(build, part) };
}

const LEG_NAMES: Readonly<Record<string, string>> = {
  A: 'anode',
  K: 'cathode',
  E: 'emitter',
  B: 'base',
  C: 'collector',
  D: 'drain',
  G: 'gate',
  S: 'source',
};

/** "emitter", "drain as cathode". */
function legName({ name, pin }: Leg, footprint: Footprint | undefined): string {
  const own = LEG_NAMES[name] ?? name;
  return footprint?.ends && pin !== undefined ? `${own} as ${pin.slice(pin.indexOf('.') + 1)}` : own;
}

/** Common practice, no source. */
const FREE_HALF = 'Half B is free: join OUT B to −B, and +B to the bias or half the supply.';

function notesOf(build: Build, { ref, footprint }: PartLegs): readonly string[] {
  const { count = 1, piggyback } = build.parts[ref] ?? {};
  const part = partsOf(fittedCircuit(build)).get(ref)?.part;
  const halves = [...partsOf(fittedCircuit(build)).values()].filter(
    (each) => each.part.kind === 'opamp' && each.part.package === ref,
  );
  return [
    ...(count > 1 ? [`${count} in series, the same way round: these are the ends of the string.`] : []),
    ...(piggyback === undefined
      ? []
      : [`Piggyback ${typeName(piggyback)}: anode to anode, cathode to cathode.`]),
    ...(footprint?.ends ? [`${endsText(footprint.ends)}.`] : []),
    ...(part?.kind === 'opamp'
      ? ['One chip for each amplifier: it needs a small adapter board for two single chips.']
      : []),
    ...(footprint?.amplifiers === 2 && halves.length === 1 ? [FREE_HALF] : []),
  ];
}
