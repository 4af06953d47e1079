import { refText } from '../builds/alias.ts';
import { type Build, buildParts, type PartSetting } from '../builds/build.ts';
import { boardNetsOf } from '../builds/network-of-build.ts';
import { settingText } from '../builds/part-setting.ts';
import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { GROUND_NET } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { endsText, type Footprint } from '../parts/footprint.ts';
import { footprintOf } from '../parts/footprint-change.ts';

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

type Nets = (pin: string) => string;

/** The active parts that are fitted: chips, transistors and diodes, in the order of the parts list. */
export function pinoutsOf(build: Build): readonly Pinout[] {
  const circuit = fittedCircuit(build);
  const nets = boardNetsOf(build);
  const parts = buildParts(circuit).filter(({ ref }) => build.parts[ref]?.fit === undefined);
  const found = parts.flatMap(({ ref, kind }): readonly Pinout[] => {
    const setting = build.parts[ref]!;
    switch (kind) {
      case 'opamp':
        return chips(build, circuit, ref, nets);
      case 'converter':
        return [converter(build, circuit, ref, nets)];
      case 'diode':
        return diodes(build, ref, setting, nets);
      case 'npn':
      case 'pnp':
      case 'nJfet':
      case 'pJfet':
      case 'nMosfet':
        return [transistor(build, ref, nets)];
      default:
        return [];
    }
  });
  return [...found].sort((one, other) => placeOf(one) - placeOf(other));
}

/** Chips first, then transistors, then diodes. */
function placeOf({ footprint, pins }: Pinout): number {
  if (pins.length > 3) return 0;
  return footprint?.outline === 'axial' || footprint?.outline === 'LED' ? 2 : 1;
}

function titleOf(build: Build, ref: string, type: string, more = ''): string {
  return `${refText(build, ref)}${more} ${settingText({ type })}`;
}

/** The halves of a package; of a single type one chip for each amplifier, which needs an adapter. */
function chips(build: Build, circuit: Circuit, ref: string, nets: Nets): readonly Pinout[] {
  const type = build.parts[ref]!.type!;
  const footprint = footprintOf(type);
  const own = [...partsOf(circuit)].flatMap(([each, { part }]) =>
    part.kind === 'opamp' && part.package === ref ? [each] : [],
  );
  const size = footprint?.amplifiers ?? 2;
  const cases = Array.from({ length: Math.ceil(own.length / size) }, (_, index) =>
    own.slice(index * size, (index + 1) * size),
  );
  return cases.map((halves) => {
    const more = cases.length > 1 ? ` (${halves.join(', ')})` : '';
    const pins = (footprint?.legs ?? []).map((leg, index) => chipPin(leg, `${index + 1}`, halves, nets));
    const adapter = cases.length > 1 ? ['One chip for each amplifier: it needs an adapter.'] : [];
    const free = size === 2 && halves.length === 1 ? [FREE_HALF] : [];
    return { ref, title: titleOf(build, ref, type, more), footprint, pins, notes: [...adapter, ...free] };
  });
}

/** Common practice, no source. */
const FREE_HALF = 'Half B is free: join OUT B to −B, and +B to the bias or half the supply.';

const AMPLIFIER_PINS: Readonly<Record<string, string>> = { OUT: 'out', '−': 'minus', '+': 'plus' };

function chipPin(leg: string, lug: string, halves: readonly string[], nets: Nets): PinoutPin {
  const [, function_, half = 'A'] = /^(OUT|−|\+) ?([AB])?$/.exec(leg) ?? [];
  const pin =
    function_ !== undefined
      ? withRef(halves[half === 'A' ? 0 : 1], AMPLIFIER_PINS[function_]!)
      : withRef(halves[0], { 'V+': 'positive', 'V−': 'negative' }[leg]);
  return pin === undefined ? { lug, name: leg } : { lug, name: leg, pin, net: nets(pin) };
}

function withRef(ref: string | undefined, pin: string | undefined): string | undefined {
  return ref === undefined || pin === undefined ? undefined : `${ref}.${pin}`;
}

const CONVERTER_PINS: Readonly<Record<string, string>> = {
  'V+': 'supply',
  OUT: 'inverted',
  'CAP+': 'cap-plus',
  'CAP−': 'cap-minus',
  BOOST: 'boost',
};

function converter(build: Build, circuit: Circuit, ref: string, nets: Nets): Pinout {
  const type = build.parts[ref]!.type!;
  const footprint = footprintOf(type);
  const part = partsOf(circuit).get(ref)!.part;
  const hasPump = part.kind === 'converter' && part.pump !== undefined;
  const pins = (footprint?.legs ?? []).map((leg, index): PinoutPin => {
    const lug = `${index + 1}`;
    if (leg === 'GND') return { lug, name: leg, net: GROUND_NET };
    const name = CONVERTER_PINS[leg];
    const isPart = name === 'supply' || name === 'inverted' || (hasPump && name !== undefined);
    return isPart
      ? { lug, name: leg, pin: `${ref}.${name}`, net: nets(`${ref}.${name}`) }
      : { lug, name: leg };
  });
  return { ref, title: titleOf(build, ref, type), footprint, pins, notes: [] };
}

const LEG_NAMES: Readonly<Record<string, string>> = {
  E: 'emitter',
  B: 'base',
  C: 'collector',
  D: 'drain',
  G: 'gate',
  S: 'source',
};

function transistor(build: Build, ref: string, nets: Nets): Pinout {
  const type = build.parts[ref]!.type!;
  const footprint = footprintOf(type);
  const pins = (footprint?.legs ?? []).map((leg): PinoutPin => {
    const name = LEG_NAMES[leg] ?? leg;
    return { lug: leg, name, pin: `${ref}.${name}`, net: nets(`${ref}.${name}`) };
  });
  return { ref, title: titleOf(build, ref, type), footprint, pins, notes: [] };
}

function diodes(
  build: Build,
  ref: string,
  { type, count = 1, piggyback }: PartSetting,
  nets: Nets,
): readonly Pinout[] {
  const series =
    count > 1
      ? [
          `${count} in series, all the same way round: the first anode and the last cathode are at these nets.`,
        ]
      : [];
  const first = diode(build, ref, type!, nets, '', series);
  return piggyback === undefined ? [first] : [first, diode(build, ref, piggyback, nets, ' piggyback', [])];
}

function diode(
  build: Build,
  ref: string,
  type: string,
  nets: Nets,
  more: string,
  notes: readonly string[],
): Pinout {
  const footprint = footprintOf(type);
  const ends = footprint?.ends;
  const pins = (footprint?.legs ?? []).map((leg): PinoutPin => {
    const end = endOf(leg, ends);
    if (end === undefined) return { lug: leg, name: LEG_NAMES[leg] ?? leg };
    const name = ends ? `${LEG_NAMES[leg] ?? leg}, as ${end}` : end;
    return { lug: leg, name, pin: `${ref}.${end}`, net: nets(`${ref}.${end}`) };
  });
  const wired = ends ? [`${endsText(ends)}.`] : [];
  return { ref, title: titleOf(build, ref, type, more), footprint, pins, notes: [...notes, ...wired] };
}

function endOf(leg: string, ends: Footprint['ends']): 'anode' | 'cathode' | undefined {
  if (ends) return ends.anode.includes(leg) ? 'anode' : ends.cathode.includes(leg) ? 'cathode' : undefined;
  return ({ A: 'anode', K: 'cathode' } as const)[leg];
}
