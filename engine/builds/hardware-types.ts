/**
 * What is not on the board, as it stands in a drawer: one text for each kind and size, read from the line on a bag and held against
 * what a build needs. The words are those of shops; common practice, no source.
 */

/** Whether owned hardware can be used: 'unrated' where the bag does not say its size or switching. */
export type HardwareFitness = 'yes' | 'unrated' | 'no';

export const KNOB = 'knob';
export const BATTERY_CLIP = 'battery clip';
export const DC_SOCKET = 'DC socket';
export const CHIP_SOCKET = 'socket DIP-8';
export const SOCKET_STRIP = 'socket strip';
export const CHIP_ADAPTER = 'adapter SO-8 to DIP-8';
export const SMALL_ADAPTER = 'adapter SOT-23';
export const LED_HOLDER = 'LED holder';
export const WIRE = 'wire by the metre';

export function jackType(isStereo: boolean): string {
  return `jack ${isStereo ? 'stereo' : 'mono'}`;
}

/** @param poles "3PDT". */
export function footswitchType(poles: string): string {
  return `footswitch ${poles}`;
}

/** @param text "SPDT, on-on". */
export function toggleType(text: string): string {
  return `toggle switch ${text}`;
}

export function rotaryType(poles: number, throws: number): string {
  return `rotary switch ${poles}P${throws}T`;
}

/** @param size "112 × 60 × 31 mm". */
export function enclosureType(size: string): string {
  return `enclosure ${size}`;
}

const POLES = /\b([SD2345]P[SD]T)\b/i;
const WAYS = /\b(on[ -]?off[ -]?on|on[ -]?on|on[ -]?off)\b/i;
const SIZE = /(\d+(?:[.,]\d+)?)\s*[x×]\s*(\d+(?:[.,]\d+)?)\s*[x×]\s*(\d+(?:[.,]\d+)?)/i;

/** Words and sizes that the readers below use. */
const USED = new RegExp(
  [
    SIZE.source + String.raw`(\s*mm\b)?`,
    WAYS.source,
    POLES.source,
    String.raw`\b\d+(?:[.,]\d+)?\s*(?:m|metres?|meters?|ft|feet|foot)\b`,
    String.raw`\b(?:by the metre|hook[ -]?up|\d+[ -]?pins?|DI[LP][ -]?\d*|SO(?:IC)?[ -]?8|SOT[ -]?23|9 ?V|\dP\d{1,2}T)\b`,
    String.raw`\b(?:battery|clips?|snaps?|connectors?|DC|power|jacks?|sockets?|inlets?|barrel|LEDs?|holders?|bezels?|strips?|SIP|adapters?|IC|to)\b`,
    String.raw`\b(?:knobs?|stereo|TRS|mono|enclosures?|box|boxes|alumini?um|wires?|rotary|switch|switches|toggles?|foot|stomp|footswitch(?:es)?|momentary)\b`,
  ].join('|'),
  'gi',
);

/** A line of hardware without the words that say what it is. */
export function unusedHardwareWords(line: string): string {
  return line.replace(USED, ' ');
}

type Reader = (line: string) => string | undefined;
/** The first that knows a line says what it is. */
const READERS: readonly Reader[] = [
  (line) =>
    /\b(battery (clip|snap|connector)|9 ?V[ -]?(clip|snap))\b/i.test(line) ? BATTERY_CLIP : undefined,
  (line) =>
    /\b((?:DC|power)[ -]?(jack|socket|connector|inlet)s?|(jack|socket|connector)[ -]DC|barrel (jack|socket))\b/i.test(
      line,
    )
      ? DC_SOCKET
      : undefined,
  (line) => (/\bLED[ -]?(holder|bezel|clip)s?\b/i.test(line) ? LED_HOLDER : undefined),
  (line) => (/\bsocket strips?\b|\bSIP[ -]?sockets?\b/i.test(line) ? SOCKET_STRIP : undefined),
  adapterIn,
  socketIn,
  (line) => (/\bknobs?\b/i.test(line) ? KNOB : undefined),
  jackIn,
  enclosureIn,
  (line) => (/\b(hook[ -]?up )?wires?\b(?![ -]?wound)/i.test(line) ? WIRE : undefined),
  switchIn,
];

/** The hardware that a line names, without its number; undefined for a line that names none. What stands behind "with" is an extra. */
export function hardwareIn(line: string): string | undefined {
  const [named = ''] = line.split(/\bwith\b/i);
  for (const read of READERS) {
    const found = read(named);
    if (found !== undefined) return found;
  }
  return undefined;
}

function adapterIn(line: string): string | undefined {
  if (!/\badapters?\b/i.test(line)) return undefined;
  if (/\bSO(IC)?[ -]?8\b/i.test(line)) return CHIP_ADAPTER;
  return /\bSOT[ -]?23\b/i.test(line) ? SMALL_ADAPTER : undefined;
}

/** A socket of another number of pins is none for these chips. */
function socketIn(line: string): string | undefined {
  if (!/\bsockets?\b/i.test(line) || !/\b(DI[LP]|IC)\b|\bDI[LP]\d/i.test(line)) return undefined;
  const pins = /\bDI[LP][ -]?(\d+)\b/i.exec(line)?.[1] ?? /\b(\d+)[ -]?pins?\b/i.exec(line)?.[1];
  return pins === undefined || pins === '8' ? CHIP_SOCKET : undefined;
}

/** Plugs, and sockets for other plugs than 6.35 mm ones. */
const OTHER_JACKS = /\b(plugs?|RCA|phono|XLR|banana|DIN|MIDI|3[.,]5\s*mm)\b/i;

function jackIn(line: string): string | undefined {
  if (!/\bjack( socket)?s?\b/i.test(line) || OTHER_JACKS.test(line)) return undefined;
  return jackType(/\b(stereo|TRS)\b/i.test(line));
}

function enclosureIn(line: string): string | undefined {
  const size = SIZE.exec(line)
    ?.slice(1)
    .map((text) => text.replace(',', '.'));
  if (!/\b(enclosures?|boxes|alumini?um box)\b/i.test(line) && !(size && /\bbox\b/i.test(line)))
    return undefined;
  return size ? enclosureType(`${size.join(' × ')} mm`) : 'enclosure';
}

function switchIn(line: string): string | undefined {
  const rotary = /\brotary\b.*?\b(\d)P(\d{1,2})T\b|\b(\d)P(\d{1,2})T\b.*?\brotary\b/i.exec(line);
  if (rotary) return rotaryType(Number(rotary[1] ?? rotary[3]), Number(rotary[2] ?? rotary[4]));
  const poles = POLES.exec(line)?.[1]?.toUpperCase().replace(/^2P/, 'DP');
  if (poles === undefined) return undefined;
  const way = WAYS.exec(line)?.[1]
    ?.toLowerCase()
    .replace(/(?<=n|f)[ -]?(?=o)/g, '-');
  const isFoot =
    /\b(foot|stomp)/i.test(line) || (poles === '3PDT' && way === undefined && !/\btoggle\b/i.test(line));
  if (isFoot) return `${footswitchType(poles)}${/\bmomentary\b/i.test(line) ? ' momentary' : ''}`;
  return toggleType(way === undefined ? poles : `${poles}, ${way}`);
}

/** Whether hardware of a drawer does where another is needed: more poles, a larger box or a stereo jack do too. */
export function hardwareFitness(own: string, wanted: string): HardwareFitness {
  if (own === wanted) return 'yes';
  if (own === jackType(true) && wanted === jackType(false)) return 'yes';
  if (own.startsWith('enclosure') && wanted.startsWith('enclosure')) return boxFitness(own, wanted);
  const [given, needed] = [switchOf(own), switchOf(wanted)];
  if (!given || !needed || given.kind !== needed.kind || given.poles < needed.poles) return 'no';
  if (given.throws < needed.throws) return 'no';
  if (needed.way === undefined || given.way === needed.way) return 'yes';
  // A lug that is left free makes "on-off" out of "on-on".
  if (needed.way === 'on-off' && given.way === 'on-on') return 'yes';
  return given.way === undefined ? 'unrated' : 'no';
}

function boxFitness(own: string, wanted: string): HardwareFitness {
  const [given, needed] = [sidesOf(own), sidesOf(wanted)];
  if (given.length !== 3 || needed.length !== 3) return given.length === 3 ? 'no' : 'unrated';
  const isLarger = given.some((side, index) => side > needed[index]!);
  const holds = given.every((side, index) => side >= needed[index]!);
  return holds && (isLarger || !wanted.includes('larger')) ? 'yes' : 'no';
}

/** Rising, mm. */
function sidesOf(type: string): readonly number[] {
  const sides = SIZE.exec(type)?.slice(1).map(Number) ?? [];
  return [...sides].sort((one, other) => one - other);
}

function switchOf(type: string) {
  const rotary = /^(rotary switch) (\d)P(\d+)T$/.exec(type);
  if (rotary)
    return { kind: rotary[1]!, poles: Number(rotary[2]), throws: Number(rotary[3]), way: undefined };
  const found = /^(footswitch|toggle switch) ([SD\d])P([SD])T(?:, (.*)| (momentary))?$/.exec(type);
  if (!found) return undefined;
  const [, kind, poles, throws, way, momentary] = found;
  const count = (letter: string) => (letter === 'S' ? 1 : letter === 'D' ? 2 : Number(letter));
  return {
    kind: `${kind}${momentary ?? ''}`,
    poles: count(poles!),
    throws: count(throws!),
    way,
  };
}
