import { DIODE_LEGS, type DiodeEnds, type Footprint } from './footprint.ts';
import { TRANSISTOR_FOOTPRINTS } from './transistor-footprints.ts';

const MEMORY = 'from memory';
/** Common practice, no source. */
const HEAT = 'Germanium dies of heat: solder quickly, with a metal clip on the leg.';
const LARGE = 'Thicker legs than a small diode has: check the holes.';
const DOTS = 'Its dots or rings may mark the anode: find the cathode with a diode tester.';

function axial(name: string, source = MEMORY, ...notes: readonly string[]): Footprint {
  return { package: name, outline: 'axial', legs: DIODE_LEGS, source, notes };
}

const SMALL = axial('DO-35 (glass)');
const RECTIFIER = axial('DO-41 (plastic)', MEMORY, LARGE);
const GERMANIUM = axial('DO-7 (glass)', MEMORY, HEAT);
/** No source says what marks its cathode. */
const UNMARKED: Footprint = {
  package: 'Glass, of its own size',
  outline: 'axial',
  legs: undefined,
  source: MEMORY,
  notes: [DOTS, HEAT],
};
const LED: Footprint = {
  package: '5 mm, round',
  outline: 'LED',
  legs: DIODE_LEGS,
  source: MEMORY,
  notes: [],
};

function each(types: readonly string[], footprint: Footprint): readonly (readonly [string, Footprint])[] {
  return types.map((type) => [type, footprint]);
}

/** A transistor wired as a diode. */
function junctionOf(transistor: string, ends: DiodeEnds, ...notes: readonly string[]): Footprint {
  const own = TRANSISTOR_FOOTPRINTS.get(transistor)!;
  return { ...own, ends, notes: [...notes, ...own.notes] };
}

const CHANNEL = { anode: ['S'], cathode: ['G', 'D'] };
/** Their drains, each with its gate, are joined. */
const TWO_CHANNELS = { anode: ['S'], cathode: ['S of the other'] };
const BLOCKED_CHANNEL = { anode: ['A of the 1N4148'], cathode: ['S'] };
const BACK_TO_BACK = 'Two transistors, joined at their drains: a small board of its own.';
const BLOCKED = 'A transistor and a 1N4148 in series: a small board of its own.';

/** By type. */
export const DIODE_FOOTPRINTS: ReadonlyMap<string, Footprint> = new Map([
  ...each(['1N4148', '1N914', '1N914B', '1N4448', 'MA150', '1S1588', '1S2473', '1S2076A'], SMALL),
  ...each(['BAW62', 'BAV21', '1N456A', '1N5711', 'BAT46', 'BAT41', 'BAT42', 'BAT43', 'BAT48'], SMALL),
  ...each(['BAT85', '1N6263', 'SD101A', 'SD101B', 'SD101C'], SMALL),
  ...each(['BZX79C3V3', 'BZX79C3V9', 'BZX79C4V7', 'BZX79C5V1'], SMALL),
  ['1N60P', axial('DO-35 (glass)', 'sheet "1N60 Small Signal Schottky Diode, 40 V", no maker')],
  ...each(['1N4001', '1N4007', '1N5817', '1N5818', '1N5819'], RECTIFIER),
  [
    'BAT54',
    {
      package: 'SOT-23 (surface mount)',
      outline: 'surface',
      legs: ['A', 'not connected', 'K'],
      source: MEMORY,
      notes: ['BAT54A, C and S have two diodes in another order.'],
    },
  ],
  ...each(['1N34A', '1N34A second card'], {
    ...GERMANIUM,
    package: 'DO-7 or DO-35 (glass)',
    source: 'DO-35: measured piece of dvhx; DO-7 from memory',
  }),
  ...each(['AA112', 'OA91', 'OA81', 'OA95', '1N695', 'NTE109', '1N270', '1N60', 'OA47', 'OA79'], GERMANIUM),
  ...each(['OA85', 'OA90', 'AA118', 'AA119', 'AA143', 'AAZ15', '1N100', '1N191', '1N277'], GERMANIUM),
  ...each(['1N295', '1S188'], GERMANIUM),
  ...each(['D18', 'D20', 'D9E', 'D9B', 'D9K', 'GD507A'], UNMARKED),
  ...each(['LED-red', 'LED-green', 'LED-blue', 'LED-yellow', 'LED-white', 'LED-infrared'], LED),
  ...each(['LED-orange', 'LED-green-InGaN', 'LED-UV'], LED),
  ['2N7000 gate to drain', junctionOf('2N7000', CHANNEL)],
  ['BS170 gate to drain', junctionOf('BS170', CHANNEL)],
  ['2N7000 back to back', junctionOf('2N7000', TWO_CHANNELS, BACK_TO_BACK)],
  ['BS170 back to back', junctionOf('BS170', TWO_CHANNELS, BACK_TO_BACK)],
  ['2N7000 with blocking diode', junctionOf('2N7000', BLOCKED_CHANNEL, BLOCKED)],
  ['BS170 with blocking diode', junctionOf('BS170', BLOCKED_CHANNEL, BLOCKED)],
  ['AC128 base-emitter', junctionOf('AC128', { anode: ['E'], cathode: ['B'] }, 'Leave C open.')],
  ['OC44 base-emitter', junctionOf('OC44', { anode: ['E'], cathode: ['B'] }, 'Leave C open.')],
  ['2N3904 base-emitter', junctionOf('2N3904', { anode: ['B', 'C'], cathode: ['E'] })],
  ['J201 gate', junctionOf('J201', { anode: ['G'], cathode: ['D', 'S'] })],
  ['2N5457 gate', junctionOf('2N5457', { anode: ['G'], cathode: ['D', 'S'] })],
]);
