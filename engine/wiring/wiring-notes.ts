import { KNOB_TURN_TEXT } from '../analysis/knob-turn.ts';
import type { Build } from '../builds/build.ts';
import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { inLine } from '../input/shown-text.ts';
import type { FootswitchLugs } from './footswitch-lugs.ts';
import type { SupplyLugs } from './supply-lugs.ts';

/** Characters of a name from a circuit file in a note. */
const MOST = 40;

/** What to know before soldering. General cautions stand elsewhere. */
export function wiringNotes(
  build: Build,
  circuit: Circuit,
  {
    footswitch,
    supply,
    hasTurns,
  }: { readonly footswitch: FootswitchLugs; readonly supply: SupplyLugs; readonly hasTurns: boolean },
): readonly string[] {
  return [
    'Seen from the lugs: shaft, lever and plug point away from you. The arrow in a potentiometer is a clockwise turn of its knob. The order of lugs is common practice, no source, and differs by make: check jacks, socket and switches with a meter before you solder.',
    ...(supply.isPositiveGround ? [POSITIVE_GROUND] : []),
    `Measure the adapter before you plug it in: ${supply.value.replace(/V$/, ' V')}, minus at the centre pin.`,
    ...batteryNotes(supply),
    ...ledNotes(footswitch),
    ...missingControls(build, circuit),
    ...linkNotes(build, circuit),
    ...(hasTurns ? [KNOB_TURN_TEXT] : []),
    'Pads of one net are joined on the board. Solder with fresh air, and wash your hands after leaded solder.',
  ];
}

const POSITIVE_GROUND =
  'Plus is at ground. Use an adapter or battery of its own: one adapter for this pedal and a pedal with minus at ground is short-circuited through the cables. The DC socket must be insulated from a metal enclosure.';

/** What has to be known before the first measurement: without a plug in its jack the pedal is off. */
function batteryNotes({ hasBattery, ring, isPositiveGround, value }: SupplyLugs): readonly string[] {
  if (!hasBattery) return [`No battery is drawn: the build is fed with ${value.replace(/V$/, ' V')}.`];
  const jack = ring
    ? [
        isPositiveGround
          ? 'A plug in the input jack joins ring and sleeve and switches battery and adapter on: put a plug in before you measure. Pull it out after playing.'
          : 'A plug in the input jack joins ring and sleeve and switches the battery on. With a battery, put a plug in before you measure. Pull it out after playing.',
      ]
    : [];
  return [
    ...jack,
    'A plug in the DC socket opens its switched contact and cuts the battery off. Take the battery out before you solder: a short circuit heats it and the wires.',
  ];
}

function ledNotes({ items, hasLed, isLedFitted, ledRefs }: FootswitchLugs): readonly string[] {
  const hasFootswitch = items.some(({ kind }) => kind === 'footswitch' || kind === 'named-footswitch');
  if (!hasFootswitch)
    return ['The circuit has no footswitch among its parts: the jacks are drawn at the board.'];
  if (!hasLed)
    return [
      'The circuit names no status LED. The last pole of the footswitch is free for one: it goes with its resistor from plus of the supply to the left lug, and the middle lug to ground.',
    ];
  if (isLedFitted) return [];
  return [`Dashed: the status LED (${ledRefs.join(', ')}) is not fitted in this build.`];
}

function missingControls(build: Build, circuit: Circuit): readonly string[] {
  return circuit.knobs.flatMap(({ ref, name }) => {
    const fit = build.parts[ref]?.fit;
    const called = `${ref} (${inLine(name, MOST)})`;
    if (fit === 'open') return [`${called} is not fitted: leave its pads open.`];
    return fit === 'bridged' ? [`${called} is jumpered: join its three pads.`] : [];
  });
}

/** Choices that are made with wires on the board. */
function linkNotes(build: Build, circuit: Circuit): readonly string[] {
  return circuit.switches.flatMap(({ ref, name, isWiring, start }) => {
    const part = partsOf(circuit).get(ref)?.part;
    if (!isWiring || part?.kind !== 'switch') return [];
    const position = build.switches[name] ?? start;
    const pairs = (part.positions[position] ?? []).map((pair) => pair.join('–')).join(', ');
    if (Object.values(part.positions).every((each) => each.length === 0)) return [];
    return [
      `Links on the board, ${ref} (${inLine(name, MOST)}), ${inLine(position, MOST)}: ${pairs === '' ? 'none' : pairs}.`,
    ];
  });
}
