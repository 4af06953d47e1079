import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { circuitNets, GROUND_NET } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { SwitchSpec } from '../circuits/part-spec.ts';
import { isSingleThrow, polesOf, toggleText } from '../circuits/switch-poles.ts';
import { footprintOf } from '../parts/footprint-change.ts';
import { stepPreferred } from '../units/preferred-numbers.ts';
import { quantityText } from '../units/quantity-text.ts';
import { SMALLEST_W } from '../units/rating-series.ts';
import { formatValue, parseValue } from '../units/value-code.ts';
import { type BoardPart, boardParts } from './board-parts.ts';
import type { Build } from './build.ts';
import {
  BATTERY_CLIP,
  CHIP_ADAPTER,
  CHIP_SOCKET,
  DC_SOCKET,
  enclosureType,
  footswitchType,
  jackType,
  KNOB,
  LED_HOLDER,
  rotaryType,
  SMALL_ADAPTER,
  SOCKET_STRIP,
  toggleType,
  WIRE,
} from './hardware-types.ts';
import type { PartNeed } from './part-need.ts';
import { isBatteryVoltage } from './supply-conditions.ts';

/** What a pedal needs beside the parts on its board. */
export interface HardwareItem {
  readonly kind: string;
  /** Size or type. */
  readonly value: string;
  readonly quantity: number;
  /** Places in the circuit, where it has some. */
  readonly refs: readonly string[];
  /** Why, or what to look at when buying. */
  readonly note: string;
  /** What of a drawer does. */
  readonly need: PartNeed;
}

/** Current of the status LED, A, and its forward voltage, V; common practice, no source. */
const LED = { amps: 0.002, volts: 1.8 };
/** Wire for each lead between the board and the enclosure, m; common practice, no source. */
const LEAD_METRES = 0.15;
/** Parts that a battery takes the place of. */
const BATTERY_PARTS = 25;

/** Lugs of the footswitch and its poles by kind of bypass. The last pole switches the status LED. */
const FOOTSWITCHES = {
  true: { poles: '3PDT', lugs: 9, note: 'two poles for the signal, one for the status LED' },
  buffered: { poles: 'DPDT', lugs: 6, note: 'one pole for the signal, one for the status LED' },
  'transistor-switched': {
    poles: '3PDT',
    lugs: 9,
    note: 'two poles for the gates, one for the status LED; in the place of a momentary switch with a flip-flop, which is not in the model',
  },
} as const;

/**
 * Outside sizes of usual aluminium boxes, mm, with the knobs and toggle switches that fit on top and the parts on the board
 * inside. A rule of thumb: common practice, no source.
 */
const ENCLOSURES = [
  { size: '112 × 60 × 31 mm', controls: 4, parts: 60 },
  { size: '120 × 66 × 40 mm', controls: 5, parts: 90 },
  { size: '119 × 94 × 34 mm', controls: 8, parts: 130 },
  { size: '145 × 121 × 39 mm', controls: 12, parts: 220 },
] as const;

/** Hardware of a pedal: what follows from its supply, its bypass, its potentiometers, switches and chips. */
export function hardwareOf(build: Build): readonly HardwareItem[] {
  const circuit = fittedCircuit(build);
  const parts = boardParts(build);
  const pots = parts.filter(({ kind }) => kind === 'pot');
  const knobs = pots.filter(({ ref }) => circuit.knobs.some((knob) => knob.ref === ref));
  const toggles = togglesOf(circuit);
  const { battery, items: powering } = powerItems(build, circuit);
  const led = ledItems(build, circuit, parts);
  const footswitch = FOOTSWITCHES[build.bypass];
  const jacks = battery ? 5 : 4;
  const size = enclosureSize(knobs.length + toggles.length, parts.length, battery);
  const lugs =
    knobs.reduce((sum, { name }) => sum + (name === 'dual-gang potentiometer' ? 6 : 3), 0) +
    toggles.reduce((sum, { lugs: own }) => sum + own, 0) +
    footswitch.lugs +
    jacks +
    (battery ? 4 : 2) +
    2;
  return [
    ...sockets(parts),
    ...(knobs.length === 0
      ? []
      : [
          item(KNOB, 'knob', 'for a 6.35 mm round shaft, with a set screw', knobs.length, {
            refs: knobs.map(({ place }) => place),
            note: 'take potentiometers of 16 mm with solder lugs and a 6.35 mm shaft',
          }),
        ]),
    ...toggles.map(({ ref, name, value, type }) =>
      item(type, 'toggle switch', value, 1, { refs: [ref], note: name }),
    ),
    item(footswitchType(footswitch.poles), 'footswitch', `${footswitch.poles}, latching`, 1, {
      refs: (circuit.bypass.footswitch ?? []).filter((ref) => partsOf(circuit).has(ref)),
      note: footswitch.note,
    }),
    ...led,
    item(jackType(battery), 'jack', battery ? '6.35 mm, stereo' : '6.35 mm, mono', 1, {
      note: battery ? 'input; its ring contact switches the battery' : 'input',
    }),
    item(jackType(false), 'jack', '6.35 mm, mono', 1, { note: 'output' }),
    ...powering,
    item(WIRE, 'wire', '1 m, stranded, 0.22 mm²', Math.ceil(LEAD_METRES * lugs), {
      note: `for ${lugs} lugs, ${LEAD_METRES} m each (rule of thumb)`,
    }),
    item(enclosureType(size), 'enclosure', size, 1, {
      note: `aluminium, outside; rule of thumb for ${controlsText(knobs.length + toggles.length)} and ${parts.length} parts${battery ? ' with a battery' : ''}`,
    }),
  ];
}

/** @param type Of `hardware-types.ts`. */
function item(
  type: string,
  kind: string,
  value: string,
  quantity: number,
  { refs = [], note = '' }: { readonly refs?: readonly string[]; readonly note?: string },
): HardwareItem {
  return { kind, value, quantity, refs, note, need: { kind: 'hardware', type } };
}

function controlsText(count: number): string {
  return count === 1 ? '1 control' : `${count} controls`;
}

function enclosureSize(controls: number, parts: number, hasBattery: boolean): string {
  const room = parts + (hasBattery ? BATTERY_PARTS : 0);
  const found = ENCLOSURES.find((box) => box.controls >= controls && box.parts >= room);
  return found?.size ?? `larger than ${ENCLOSURES.at(-1)!.size}`;
}

/** Sockets of chips, adapters for surface-mount types, and strips for transistors that heat destroys. */
function sockets(parts: readonly BoardPart[]): readonly HardwareItem[] {
  const chips = parts.filter(({ kind }) => kind === 'opamp' || kind === 'converter');
  const onSurface = parts.filter(({ code }) => footprintOf(code)?.outline === 'surface');
  const small = onSurface.filter((part) => chips.includes(part));
  const tiny = onSurface.filter((part) => !chips.includes(part));
  const frail = parts.filter(
    ({ kind, code }) =>
      (kind === 'npn' || kind === 'pnp') &&
      footprintOf(code)?.notes.some((note) => note.startsWith('Germanium')),
  );
  const places = (of: readonly BoardPart[]) => of.map(({ place }) => place);
  return [
    ...(chips.length > 0
      ? [
          item(CHIP_SOCKET, 'socket', 'DIP-8', chips.length, {
            refs: places(chips),
            note: 'so that chips can be swapped, and are not soldered',
          }),
        ]
      : []),
    ...(small.length > 0
      ? [
          item(CHIP_ADAPTER, 'adapter', 'SO-8 to DIP-8', small.length, {
            refs: places(small),
            note: 'for types of surface mount',
          }),
        ]
      : []),
    ...(tiny.length > 0
      ? [
          item(SMALL_ADAPTER, 'adapter', 'SOT-23 to legs', tiny.length, {
            refs: places(tiny),
            note: 'for types of surface mount; a diode goes from A to K',
          }),
        ]
      : []),
    ...(frail.length > 0
      ? [
          item(SOCKET_STRIP, 'socket strip', '3 pins', frail.length, {
            refs: places(frail),
            note: 'germanium dies of heat: do not solder it',
          }),
        ]
      : []),
  ];
}

interface Toggle {
  readonly ref: string;
  readonly name: string;
  readonly value: string;
  readonly type: string;
  readonly lugs: number;
}

/** Switches on the finished pedal that are no footswitch, with the poles that their wiring asks for. */
function togglesOf(circuit: Circuit): readonly Toggle[] {
  const parts = partsOf(circuit);
  return circuit.switches
    .filter(({ ref, isWiring }) => !isWiring && !circuit.bypass.footswitch?.includes(ref))
    .map(({ ref, name }) => {
      const part = parts.get(ref)?.part as SwitchSpec;
      const found = polesOf(part);
      if (!found) return { ref, name, ...rotary(part) };
      const lugs = found.poles.length * (isSingleThrow(found.poles) ? 2 : 3);
      const value = toggleText(found);
      return { ref, name, value, type: toggleType(value), lugs };
    });
}

/** A switch of more than two throws. A pole makes one connection in each position. */
function rotary({ positions }: SwitchSpec): Pick<Toggle, 'value' | 'type' | 'lugs'> {
  const made = Object.values(positions);
  const poles = Math.max(1, ...made.map((pairs) => pairs.length));
  return {
    value: `rotary, ${poles} × ${made.length} positions`,
    type: rotaryType(poles, made.length),
    lugs: poles * (made.length + 1),
  };
}

/** The LED that shows that the effect is on, where the build has none, with its resistor. */
function ledItems(build: Build, circuit: Circuit, parts: readonly BoardPart[]): readonly HardwareItem[] {
  const jobs = new Map([...partsOf(circuit)].map(([ref, { part }]) => [part.job, ref]));
  const led = jobs.get('status LED');
  const holder = item(LED_HOLDER, 'LED holder', '5 mm', 1, { note: 'for the status LED' });
  if (led !== undefined && parts.some(({ ref }) => ref === led)) return [holder];
  const resistor = jobs.get('status LED resistor');
  const given = resistor === undefined ? undefined : build.parts[resistor]?.value;
  const ohms = given ?? formatValue(ledOhms(supplyV(build, circuit)), 'ohms');
  return [
    {
      ...item('', 'status LED', 'red, 5 mm', 1, { note: 'shows that the effect is on' }),
      need: { kind: 'diode', type: 'LED-red' },
    },
    ...(parts.some(({ ref }) => ref === resistor)
      ? []
      : [
          {
            ...item('', 'status LED resistor', `${ohms}, 0.25 W`, 1, { note: 'about 2 mA' }),
            need: { kind: 'resistor' as const, value: parseValue(ohms, 'ohms'), ratedW: SMALLEST_W },
          },
        ]),
    holder,
  ];
}

/** The value of E12 at which the LED has its current at most. */
function ledOhms(volts: number): number {
  return stepPreferred(Math.max(volts - LED.volts, 0.5) / LED.amps - 1, 'E12', 1);
}

function supplyV(build: Build, circuit: Circuit): number {
  return parseValue(build.parts[circuit.roles.supply]?.value ?? '9V', 'volts');
}

function powerItems(build: Build, circuit: Circuit) {
  const volts = supplyV(build, circuit);
  const battery = isBatteryVoltage(volts);
  const isPlusAtGround = hasPlusAtGround(circuit);
  const way = isPlusAtGround
    ? 'the plus of this circuit is at ground: give it a supply of its own'
    : 'the sleeve is the plus, so it must not touch the enclosure';
  const items = [
    item(DC_SOCKET, 'DC socket', '5.5 × 2.1 mm, insulated, centre negative', 1, {
      refs: [circuit.roles.supply],
      note: `${quantityText(volts, 'V')}; ${way}${battery ? '; with a contact that switches the battery off' : ''}`,
    }),
    ...(battery
      ? [item(BATTERY_CLIP, 'battery clip', 'for a 9 V battery', 1, { refs: [circuit.roles.supply] })]
      : []),
  ];
  return { battery, items };
}

function hasPlusAtGround(circuit: Circuit): boolean {
  return circuitNets(circuit).netOf.get(`${circuit.roles.supply}.plus`) === GROUND_NET;
}
