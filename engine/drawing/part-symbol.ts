import type { Fit, PartSpec, SwitchSpec } from '../circuits/part-spec.ts';
import { diodeEntry } from '../parts/part-types.ts';
import { polesOf, symbolShape } from './symbol-shape.ts';

/** Elements of an SVG after IEC 60617 about the middle of an unturned part, in grid steps. They hold no text from outside. */
type Symbol = string;

/** What is soldered at the place, as far as it can be seen. */
export interface DrawnSetting {
  readonly type?: string;
  readonly fit?: Fit;
  readonly piggyback?: string;
}

const RESISTOR = 'M-2 0H-1.2M1.2 0H2M-1.2 -0.45H1.2V0.45H-1.2Z';
const CAPACITOR = 'M-2 0H-0.28M0.28 0H2M-0.28 -0.7V0.7M0.28 -0.7V0.7';
const PLUS_SIGN = 'M-1.15 0.5H-0.65M-0.9 0.25V0.75';
const INDUCTOR =
  'M-2 0H-1.6a0.4 0.4 0 0 1 0.8 0a0.4 0.4 0 0 1 0.8 0a0.4 0.4 0 0 1 0.8 0a0.4 0.4 0 0 1 0.8 0H2';
const DIODE = 'M-2 0H2M-0.65 -0.65L0.65 0L-0.65 0.65Z';
const CELL = 'M-2 0H-0.25M0.25 0H2M-0.25 -0.7V0.7M0.25 -0.4V0.4';

const CONVERTER_SIGNS = 'M-1.6 0H-0.3M-0.7 -0.4L-0.3 0L-0.7 0.4M0.4 -1.6H1.8M1.1 -2.3V-0.9M0.4 1.8H1.8';
/** Leads and signs of a converter with pump capacitors: a plus and a minus at their pins, an arrow to the negative output. */
const PUMP_LEADS = 'M-3 0H-2.5M-3 -2H-2.5M2.5 -2H3M2.5 0H3M2.5 2H3';
const PUMP_SIGNS = 'M1.2 -2H2M1.6 -2.4V-1.6M1.2 0H2M-1.6 0H-0.3M-0.7 -0.4L-0.3 0L-0.7 0.4';

/** Two bodies side by side on one pair of legs, drawn at this size and distance. */
const PIGGYBACK_SCALE = 0.52;
const PIGGYBACK_SHIFT = 0.38;

/**
 * The symbol of a setting: a part that is not fitted with its leads cut, a jumpered one with a wire across, a
 * piggyback with its second part.
 *
 * @param position Of a switch.
 * @param rotation Of a potentiometer, 0 to 1.
 */
export function partSymbol(
  spec: PartSpec,
  setting: DrawnSetting,
  position: string | undefined,
  rotation = 0.5,
): Symbol {
  if (spec.kind === 'switch') return switchSymbol(spec, position);
  const body = spec.kind === 'pot' ? potSymbol(rotation) : bodyOf(spec, setting.type);
  if (setting.fit === 'open') return `<g class="unfitted" transform="scale(0.8)">${body}</g>`;
  if (setting.fit === 'bridged')
    return `<g class="unfitted">${body}</g><path class="bridge" d="${bridgeOf(spec)}" />`;
  if (setting.piggyback === undefined) return body;
  const second = bodyOf(spec, spec.kind === 'diode' ? setting.piggyback : undefined);
  const one = (shift: number, which: Symbol) =>
    `<g transform="translate(0 ${shift}) scale(${PIGGYBACK_SCALE})">${which}</g>`;
  const leg = 2 * PIGGYBACK_SCALE;
  return `${one(-PIGGYBACK_SHIFT, body)}${one(PIGGYBACK_SHIFT, second)}
    <path d="M-2 0H${-leg}M${leg} 0H2M${-leg} ${-PIGGYBACK_SHIFT}V${PIGGYBACK_SHIFT}M${leg} ${-PIGGYBACK_SHIFT}V${PIGGYBACK_SHIFT}" />`;
}

function bodyOf(spec: PartSpec, type: string | undefined): Symbol {
  switch (spec.kind) {
    case 'resistor':
      return `<path class="body" d="${RESISTOR}" />`;
    case 'capacitor':
      return `<path d="${CAPACITOR}" />${spec.polarised ? `<path class="thin" d="${PLUS_SIGN}" />` : ''}`;
    case 'inductor':
      return `<path d="${INDUCTOR}" />`;
    case 'supply':
      return `<path d="${CELL}" /><path class="thin" d="${PLUS_SIGN}" />`;
    case 'diode':
      return diodeSymbol(type ?? spec.type);
    case 'opamp':
      return `<path class="body" d="M-2 -1.7V1.7L2 0Z" />
        <path d="M-3 -1H-2M-3 1H-2M2 0H3M0 -2V-0.85M0 2V0.85" />
        <path class="thin" d="M-1.75 -1H-1.15M-1.45 -1.3V-0.7M-1.75 1H-1.15" />`;
    case 'converter':
      return `<path class="body" d="M-2.5 -3H2.5V3H-2.5Z" /><path d="${spec.pump ? PUMP_LEADS : 'M-3 0H-2.5M2.5 -2H3M2.5 2H3'}" />
        <path class="thin" d="${spec.pump ? PUMP_SIGNS : CONVERTER_SIGNS}" />`;
    case 'npn':
    case 'pnp':
      return bipolarSymbol(spec.kind === 'npn');
    case 'nJfet':
    case 'pJfet':
      return jfetSymbol(spec.kind === 'nJfet');
    case 'nMosfet':
      return `<circle class="body" r="1.5" cx="0.2" />
        <path d="M-2 0H-0.6M-0.6 -1V1M-0.3 -1.1V-0.5M-0.3 -0.3V0.3M-0.3 0.5V1.1M1 -2V-0.8H-0.3M1 2V0.8H-0.3M-0.3 0H1V0.8" />
        <path class="solid" d="M-0.25 0L0.4 -0.3V0.3Z" />`;
    case 'pot':
    case 'switch':
      return '';
  }
}

/** The wiper's arrow stands where the knob does, the clockwise end of the track above. */
function potSymbol(rotation: number): Symbol {
  const y = 0.9 * (1 - 2 * rotation);
  return `<path class="body" d="M0 -2V-1.2M0 1.2V2M-0.45 -1.2H0.45V1.2H-0.45Z" />
    <path d="M2 0H1.5V${y}H1" /><path class="solid" d="M0.5 ${y}L1.1 ${y - 0.3}V${y + 0.3}Z" />`;
}

function bipolarSymbol(isNpn: boolean): Symbol {
  const arrow = isNpn ? 'M1 1.35L0.68 0.72L0.28 1.2Z' : 'M-0.3 -0.45L0.4 -0.7L0.05 -1.2Z';
  return `<circle class="body" r="1.5" cx="0.2" />
    <path d="M-2 0H-0.4M-0.4 -1V1M-0.4 -0.4L1 -1.35V-2M-0.4 0.4L1 1.35V2" /><path class="solid" d="${arrow}" />`;
}

/** The gate's arrow points to an N-channel and away from a P-channel. */
function jfetSymbol(isNChannel: boolean): Symbol {
  const arrow = isNChannel ? 'M-0.35 0L-1.05 -0.3V0.3Z' : 'M-1.05 0L-0.35 -0.3V0.3Z';
  return `<circle class="body" r="1.5" cx="0.2" />
    <path d="M-2 0H-0.3M1 -2V-0.7H-0.3M1 2V0.7H-0.3M-0.3 -1.1V1.1" /><path class="solid" d="${arrow}" />`;
}

/** A bar for junctions; hooked for Schottky, bent for Zener, and arrows of light for an LED. */
function diodeSymbol(type: string): Symbol {
  const family = familyOf(type);
  if (family === 'schottky') return diodeWith('M0.65 -0.65V0.65M0.65 -0.65H0.95V-0.4M0.65 0.65H0.35V0.4');
  if (family === 'zener') return diodeWith('M0.65 -0.6V0.6M0.65 -0.6L1 -0.72M0.65 0.6L0.3 0.72');
  const plain = diodeWith('M0.65 -0.65V0.65');
  if (family !== 'led') return plain;
  return `${plain}<path class="thin" d="M0 -0.55L0.35 -0.9M0.5 -0.45L0.85 -0.8M0.1 -0.87L0.35 -0.9L0.32 -0.65M0.6 -0.77L0.85 -0.8L0.82 -0.55" />`;
}

const diodeWith = (bar: string): Symbol => `<path d="${DIODE}" /><path d="${bar}" />`;

function familyOf(type: string): 'schottky' | 'zener' | 'led' | 'junction' {
  const { family } = diodeEntry(type);
  if (/schottky/i.test(family)) return 'schottky';
  if (/zener/i.test(family)) return 'zener';
  return /led/i.test(family) ? 'led' : 'junction';
}

/** A wire across the part, from lead to lead; of a potentiometer also to the wiper. */
function bridgeOf(spec: PartSpec): string {
  return spec.kind === 'pot' ? 'M0 -2V2M0 0H2' : 'M-2 0H2';
}

/** Contacts as circles, and an arm from each common contact to where it stands. */
function switchSymbol(spec: SwitchSpec, position: string | undefined): Symbol {
  const { pins, body } = symbolShape(spec);
  const closed = spec.positions[position ?? ''] ?? [];
  const inner = (pin: string) => {
    const [x, y] = pins[pin]!.at;
    return [x < 0 ? -1.6 : 1.6, y] as const;
  };
  const arms = polesOf(spec).map(({ common, throws }) => {
    const [x, y] = inner(common);
    const contact = closed.find(([from]) => from === common)?.[1];
    const [toX, toY] = contact === undefined ? ([1.1, y] as const) : inner(contact);
    return `<path class="${contact === undefined ? 'lifted' : ''}" d="M${x} ${y}L${toX} ${contact === undefined ? y - throws.length * 0.15 : toY}" />`;
  });
  const contacts = Object.keys(pins).map((pin) => {
    const [x, y] = inner(pin);
    return `<path d="M${pins[pin]!.at[0]} ${y}H${x}" /><circle class="contact" cx="${x}" cy="${y}" r="0.22" />`;
  });
  return `<rect class="frame" x="${body.left}" y="${body.top}" width="${body.right - body.left}" height="${body.bottom - body.top}" />${arms.join('')}${contacts.join('')}`;
}
