import type { Build } from '../builds/build.ts';
import { isBatteryVoltage } from '../builds/supply-conditions.ts';
import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { GROUND_NET } from '../circuits/circuit-nets.ts';
import type { SupplySpec } from '../circuits/part-spec.ts';
import { parseValue } from '../units/value-code.ts';
import type { Lug, WiringItem } from './wiring.ts';

/** Nets that only the wires off the board have. */
const BATTERY_PLUS = 'battery plus';
const BATTERY_MINUS = 'battery minus';
const SOCKET_SLEEVE = 'socket sleeve';

/** How the pedal is fed, and what of it hangs on the input jack. */
export interface SupplyLugs {
  readonly items: readonly WiringItem[];
  /** Lug of the input jack that switches the battery; absent without a battery. */
  readonly ring: Lug | undefined;
  readonly isPositiveGround: boolean;
  readonly hasBattery: boolean;
  readonly value: string;
}

type Nets = (pin: string) => string;

/**
 * DC socket and battery. The socket has a centre pin, a sleeve, and a contact that leaves the sleeve when a plug is in. The
 * adapter is the usual one of pedals, with its minus at the centre. The battery is cut off at both ends: by the contact of the
 * socket at its plus, and by the jack at the side of ground. With plus at ground both are the same side, so the sleeve of the
 * socket is at the ring of the jack, and the jack switches the adapter too. The order of lugs is that in which their wires cross
 * no other. Common practice, no source.
 */
export function supplyLugs(build: Build, circuit: Circuit, nets: Nets): SupplyLugs {
  const { plus, minus, spec, ref } = terminals(build, circuit, nets);
  const value = build.parts[ref]?.value ?? spec.value;
  const hasBattery = isBatteryVoltage(parseValue(value, 'volts'));
  const isPositiveGround = plus.net === GROUND_NET;
  const isSwitched = hasBattery && (isPositiveGround || minus.net === GROUND_NET);
  const sleeve: Lug = {
    lug: 'sleeve',
    name: '+',
    ...plus,
    ...(isSwitched && isPositiveGround && { net: SOCKET_SLEEVE }),
  };
  const pin: Lug = { lug: 'pin', name: '−', ...minus };
  const contact: Lug = { lug: 'switched', name: '', ...(hasBattery && { net: BATTERY_PLUS }) };
  const socket: WiringItem = {
    ref: 'DC socket',
    kind: 'DC socket',
    title: 'DC socket',
    lines: [`${value.replace(/V$/, ' V')}, centre pin minus`],
    lugs: isPositiveGround ? [pin, sleeve, contact] : [sleeve, pin, contact],
  };
  if (!hasBattery) return { items: [socket], ring: undefined, isPositiveGround, hasBattery, value };
  const red: Lug = { lug: '+', name: 'red', ...plus, net: BATTERY_PLUS };
  const black: Lug = {
    lug: '−',
    name: 'black',
    ...minus,
    ...(isSwitched && !isPositiveGround && { net: BATTERY_MINUS }),
  };
  const battery: WiringItem = {
    ref: 'battery',
    kind: 'battery',
    title: 'Battery',
    lines: [value.replace(/V$/, ' V')],
    lugs: isPositiveGround ? [black, red] : [red, black],
  };
  const ring: Lug | undefined = isSwitched
    ? { lug: 'ring', name: '', net: isPositiveGround ? SOCKET_SLEEVE : BATTERY_MINUS }
    : undefined;
  return { items: [socket, battery], ring, isPositiveGround, hasBattery, value };
}

interface Terminal {
  readonly pin: string;
  readonly net: string;
}

/** Both ends of the supply, behind its internal resistance, which is no part that is soldered. */
function terminals(build: Build, circuit: Circuit, nets: Nets) {
  const ref = circuit.roles.supply;
  const spec = partsOf(circuit).get(ref)!.part as SupplySpec;
  const inner = [...partsOf(circuit)].find(([, { part }]) => part.job === 'supply internal resistance')?.[0];
  const isInside = inner !== undefined && build.parts[inner]?.fit === undefined;
  const terminal = (name: 'plus' | 'minus'): Terminal => {
    const pin = `${ref}.${name}`;
    if (isInside) {
      if (nets(`${inner}.1`) === nets(pin)) return { pin: `${inner}.2`, net: nets(`${inner}.2`) };
      if (nets(`${inner}.2`) === nets(pin)) return { pin: `${inner}.1`, net: nets(`${inner}.1`) };
    }
    return { pin, net: nets(pin) };
  };
  return { ref, spec, plus: terminal('plus'), minus: terminal('minus') };
}
