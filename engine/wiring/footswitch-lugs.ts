import { refText } from '../builds/alias.ts';
import type { Build } from '../builds/build.ts';
import { settingText } from '../builds/part-setting.ts';
import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { GROUND_NET } from '../circuits/circuit-nets.ts';
import type { PartSpec } from '../circuits/part-spec.ts';
import { type Pole, polesOf, switchName } from '../circuits/switch-poles.ts';
import type { Lug, WiringItem } from './wiring.ts';

type Nets = (pin: string) => string;

/** Between the LED and the pole that switches it. */
const LED_SWITCHED = 'LED switched';

/** The footswitch with its status LED; nothing for a circuit that has no footswitch among its parts. */
export interface FootswitchLugs {
  readonly items: readonly WiringItem[];
  /** Whether the LED of the circuit is switched by a pole of its own. */
  readonly hasLed: boolean;
  /** Whether the LED and its resistor are fitted in the build. */
  readonly isLedFitted: boolean;
  /** Parts of the LED by designator. */
  readonly ledRefs: readonly string[];
}

/**
 * The footswitch seen from its lugs: each row is a pole, its middle lug the common one, and with the effect on the middle is
 * joined to the left. One more pole switches the status LED at its end at ground: a network has no LED that goes out. Common
 * practice, no source.
 */
export function footswitchLugs(build: Build, circuit: Circuit, nets: Nets): FootswitchLugs {
  const switches = (circuit.bypass.footswitch ?? []).flatMap((ref) => {
    const part = partsOf(circuit).get(ref)?.part;
    return part?.kind === 'switch' ? [{ ref, part }] : [];
  });
  const led = statusLed(build, circuit, nets);
  if (switches.length === 0) return { ...led, items: led.alone };
  const rows = switches.flatMap(({ ref, part }): readonly Lug[] | undefined => {
    const found = polesOf(part);
    const on = found?.endOf.get('on');
    return on === undefined ? undefined : found!.poles.flatMap((pole) => rowOf(ref, pole, nets, on));
  });
  const ref = commonName(switches.map((each) => each.ref));
  const title = `${ref} footswitch`;
  if (rows.includes(undefined)) {
    const lugs = switches.flatMap(({ ref: own, part }) =>
      part.pins.map((pin) => lugAt(`${own} ${pin}`, '', `${own}.${pin}`, nets)),
    );
    return { ...led, items: [{ ref, kind: 'named-footswitch', title, lines: [], lugs }, ...led.alone] };
  }
  const own = (rows as readonly Lug[]).map((lug, index) => ({ ...lug, lug: `${index + 1}` }));
  const lugs = [...own, ...ledRow(own.length, led)];
  const item: WiringItem = {
    ref,
    kind: 'footswitch',
    title,
    lines: [`${switchName(lugs.length / 3)}, latching`, 'effect on: middle to left'],
    lugs,
  };
  return { ...led, items: [item, ...led.items] };
}

const lugAt = (lug: string, name: string, pin: string, nets: Nets): Lug => ({
  lug,
  name,
  pin,
  net: nets(pin),
});

/** The lugs of a pole from left to right, without numbers yet. */
function rowOf(ref: string, { common, ends }: Pole, nets: Nets, on: 0 | 1): readonly Lug[] {
  return [ends[on], common, ends[1 - on]].map((pin) =>
    pin === undefined ? { lug: '', name: '' } : lugAt('', '', `${ref}.${pin}`, nets),
  );
}

/** The last pole: the LED at the left lug, ground at the middle one. Free without an LED. */
function ledRow(
  count: number,
  { hasLed, isLedFitted }: Pick<FootswitchLugs, 'hasLed' | 'isLedFitted'>,
): readonly Lug[] {
  const optional = isLedFitted ? {} : { isOptional: true };
  const [left, middle, right] = [1, 2, 3].map((place) => `${count + place}`);
  return [
    { lug: left!, name: '', ...(hasLed && { net: LED_SWITCHED, ...optional }) },
    { lug: middle!, name: '', ...(hasLed && { net: GROUND_NET, ...optional }) },
    { lug: right!, name: '' },
  ];
}

/** "S1" of S1A and S1B. */
function commonName(refs: readonly string[]): string {
  const names = new Set(refs.map((ref) => (refs.length > 1 ? ref.replace(/[A-Z]$/, '') : ref)));
  return [...names].join(' and ');
}

/** The LED of the circuit and its resistor. */
function statusLed(build: Build, circuit: Circuit, nets: Nets) {
  const of = (job: PartSpec['job']) => [...partsOf(circuit)].find(([, { part }]) => part.job === job)?.[0];
  const [led, resistor] = [of('status LED'), of('status LED resistor')];
  const none = { items: [], alone: [], hasLed: false, isLedFitted: false, ledRefs: [] };
  if (led === undefined || resistor === undefined) return none;
  const grounded = (['anode', 'cathode'] as const).find((pin) => nets(`${led}.${pin}`) === GROUND_NET);
  const isFitted = [led, resistor].every((ref) => build.parts[ref]?.fit === undefined);
  if (grounded === undefined || [led, resistor].some((ref) => build.parts[ref]?.fit === 'bridged'))
    return none;
  const fed = grounded === 'cathode' ? 'anode' : 'cathode';
  const [near, far] = nets(`${resistor}.2`) === nets(`${led}.${fed}`) ? ['2', '1'] : ['1', '2'];
  if (nets(`${resistor}.${near}`) !== nets(`${led}.${fed}`)) return none;
  const optional = isFitted ? {} : { isOptional: true };
  const made = (groundNet: string): readonly WiringItem[] => [
    {
      ref: resistor,
      kind: 'LED resistor',
      title: refText(build, resistor),
      lines: [settingText(withoutFit(build, resistor))],
      lugs: [lugAt('a', '', `${resistor}.${far}`, nets), lugAt('b', '', `${resistor}.${near}`, nets)],
      ...optional,
    },
    {
      ref: led,
      kind: 'LED',
      title: refText(build, led),
      lines: [settingText(withoutFit(build, led))],
      lugs: [
        lugAt(fed === 'anode' ? 'A' : 'K', '', `${led}.${fed}`, nets),
        { lug: grounded === 'anode' ? 'A' : 'K', name: '', pin: `${led}.${grounded}`, net: groundNet },
      ],
      ...optional,
    },
  ];
  return {
    items: made(LED_SWITCHED),
    alone: made(GROUND_NET),
    hasLed: true,
    isLedFitted: isFitted,
    ledRefs: [resistor, led],
  };
}

function withoutFit(build: Build, ref: string) {
  const { fit: _, ...setting } = build.parts[ref]!;
  return setting;
}
