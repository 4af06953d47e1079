import { refText } from '../builds/alias.ts';
import type { Build } from '../builds/build.ts';
import { settingText } from '../builds/part-setting.ts';
import { type Circuit, type KnobSpec, partsOf, type SwitchControlSpec } from '../circuits/circuit.ts';
import { isSingleThrow, polesOf, toggleText } from '../circuits/switch-poles.ts';
import type { Lug, WiringItem } from './wiring.ts';

type Nets = (pin: string) => string;

/** Lugs of a potentiometer, shaft to you and lugs down, from left to right. Common practice, no source. */
const POT_LUGS = [
  ['1', 'ccw', ''],
  ['2', 'wiper', 'wiper'],
  ['3', 'cw', ''],
] as const;

/** Potentiometers and toggle switches, whose lugs go to the board. What is not fitted or jumpered is not off the board. */
export function controlItems(
  build: Build,
  circuit: Circuit,
  nets: Nets,
  turns: ReadonlyMap<string, string>,
): readonly WiringItem[] {
  const pots = circuit.knobs
    .filter(({ ref }) => partsOf(circuit).has(ref) && build.parts[ref]?.fit === undefined)
    .map((knob) => potItem(build, circuit, nets, knob, turns.get(knob.name)));
  const toggles = circuit.switches
    .filter(({ ref, isWiring }) => !isWiring && partsOf(circuit).has(ref))
    .flatMap((control) => toggleItem(circuit, nets, control));
  return [...pots, ...toggles];
}

function potItem(
  build: Build,
  circuit: Circuit,
  nets: Nets,
  { ref, name, gang }: KnobSpec,
  turn: string | undefined,
): WiringItem {
  const isFollower = gang !== undefined && build.switches[gang.switch] === gang.position;
  const follower = circuit.knobs.find(
    (other) => other.gang?.knob === name && build.switches[other.gang.switch] === other.gang.position,
  );
  const section = isFollower
    ? [`rear section, turns with ${gang.knob}`]
    : follower
      ? ['front section of a dual-gang']
      : [];
  return {
    ref,
    kind: 'pot',
    title: `${refText(build, ref)} ${name}`,
    lines: [settingText(build.parts[ref]!), ...section, ...(turn === undefined ? [] : [turn])],
    lugs: POT_LUGS.map(([lug, pin, called]) => ({
      lug,
      name: called,
      pin: `${ref}.${pin}`,
      net: nets(`${ref}.${pin}`),
    })),
  };
}

function toggleItem(circuit: Circuit, nets: Nets, { ref, name }: SwitchControlSpec): readonly WiringItem[] {
  const part = partsOf(circuit).get(ref)!.part;
  if (part.kind !== 'switch') return [];
  const lugOf = (lug: string, pin: string): Lug => ({
    lug,
    name: '',
    pin: `${ref}.${pin}`,
    net: nets(`${ref}.${pin}`),
  });
  const found = polesOf(part);
  const title = `${ref} ${name}`;
  if (!found) {
    const lugs = part.pins.map((pin) => lugOf(pin, pin));
    return [{ ref, kind: 'named-switch', title, lines: positionLines(part.positions, (pin) => pin), lugs }];
  }
  const isSingle = isSingleThrow(found.poles);
  const lugs = found.poles
    .flatMap(({ common, ends }) => [ends[0], common, ends[1]].filter((pin) => !isSingle || pin !== undefined))
    .map((pin, index) =>
      pin === undefined ? { lug: `${index + 1}`, name: '' } : lugOf(`${index + 1}`, pin),
    );
  const numberOf = (pin: string) => lugs.find((lug) => lug.pin === `${ref}.${pin}`)!.lug;
  const poles = found.poles.length;
  const lines = [toggleText(found), ...positionLines(part.positions, numberOf)];
  return [{ ref, kind: 'toggle', title, lines, lugs, poles }];
}

/** "symmetric: 2–1, 5–4". */
function positionLines(
  positions: Readonly<Record<string, readonly (readonly [string, string])[]>>,
  lugOf: (pin: string) => string,
): readonly string[] {
  return Object.entries(positions).map(([name, pairs]) => {
    const joined = pairs.map((pair) => pair.map(lugOf).join('–')).join(', ');
    return `${name}: ${joined === '' ? 'all open' : joined}`;
  });
}
