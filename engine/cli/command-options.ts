import { EXCERPT_OVERSAMPLING } from '../analysis/excerpt.ts';
import { USUAL_CLIPPING_COUNT, USUAL_COUNT } from '../analysis/spread-report.ts';
import { USUAL_TEST } from '../analysis/steady-sine.ts';
import { USUAL_PATCH_METRES } from '../builds/chain.ts';
import { USUAL_INSTRUMENT } from '../builds/instrument.ts';
import { NEXT_INPUTS, USUAL_OUTPUT_LOAD } from '../builds/output-load.ts';
import { USUAL_SEED } from '../builds/parts-set.ts';
import { OPTION_LIMITS } from '../input/limits.ts';
import { TEMPERATURE_RANGE_C } from '../network/temperature.ts';
import type { Options } from './option-values.ts';

export type OptionName = keyof Options;

/** An option as the help shows it and the command line reads it. */
export interface OptionText {
  /** The name of its value; an option without it is a switch. */
  readonly value?: string;
  /** Whether it may be given more than once. */
  readonly isList?: true;
  /** What it does, with the unit and the default. */
  readonly says: string;
}

const { lowest, highest, nominal } = TEMPERATURE_RANGE_C;

/** Every option. If an option does something special in one command, that command's own words say so. */
export const OPTIONS: Readonly<Record<OptionName, OptionText>> = {
  build: { value: 'FILE or PRESET', says: 'the build, or a chain of up to three pedals' },
  // biome-ignore lint/suspicious/noThenProperty: an option's name; nothing awaits this table
  then: {
    value: 'FILE or PRESET',
    isList: true,
    says: 'the next pedal of a chain, which the one before plays into. --set 2:R4=4k7, --knob 2:gain=0.5, --switch and --net then name the pedal by its number (1)',
  },
  'then-cable': {
    value: 'METRES',
    isList: true,
    says: `the cable to the next pedal, metres, for each --then (${USUAL_PATCH_METRES})`,
  },
  off: { value: 'NUMBER', isList: true, says: 'a pedal of the chain that is switched off, 1 to 3' },
  piece: {
    value: 'FILE',
    isList: true,
    says: 'a piece that you have measured, as "cliplead fit --out" writes it, or a file of measured parts of the page; --set then takes its name',
  },
  set: {
    value: 'REF=VALUE',
    isList: true,
    says: 'another part: R4=4k7, C3=47n, C8="100n X7R-small", D1,D2=OA91, D2="2x 1N4148", D1="OA91 low" (a piece at the low or high end of its spread), VR2="25k linear", R5="not fitted", C4=jumpered',
  },
  knob: { value: 'NAME=0..1', isList: true, says: 'a knob, 0 to 1 (as in the build)' },
  switch: { value: 'NAME=POSITION', isList: true, says: 'a switch (as in the build)' },
  temperature: { value: 'CELSIUS', says: `of the bench, °C, ${lowest} to ${highest} (${nominal})` },
  json: { says: 'machine-readable output' },
  in: { value: 'FILE or RECORDING', says: 'WAV or FLAC, or the name of a bundled recording' },
  channel: { value: 'N', says: 'channel of the recording (1)' },
  'volts-per-full-scale': {
    value: 'V',
    says: 'volts at full scale of the files (1; bundled recordings have their own)',
  },
  oversample: {
    value: 'N',
    says: 'multiple of the recording’s rate: a power of two from 1 to 256, or offline, which is 32',
  },
  resampling: { value: 'FILTER', says: 'linear-phase or low-latency (linear-phase)' },
  noise: { says: "with the build's own hiss" },
  source: { value: 'SOURCE', says: 'source at the input: pickup with its cable, or shorted (pickup)' },
  pickup: {
    value: 'PICKUP',
    says: 'add pickup and cable, guitar controls full up: single-coil or humbucker (none)',
  },
  cable: { value: 'METRES', says: `its cable, metres (${USUAL_INSTRUMENT.cableMetres})` },
  into: {
    value: 'INPUT',
    says: `next input after the pedal: ${Object.keys(NEXT_INPUTS).join(', ')} (none: left open)`,
  },
  'into-cable': {
    value: 'METRES',
    says: `the cable to it, metres (${USUAL_OUTPUT_LOAD.cableMetres})`,
  },
  bypassed: { says: 'with the pedal switched off, in a chain all of them' },
  net: { value: 'NET', says: 'net to measure at, in a chain such as 2:clipped (the output)' },
  frequencies: {
    value: 'LIST',
    says: 'frequencies, Hz, such as 100,1000,5000 (ten per decade from 20 Hz to 20 kHz)',
  },
  hz: { value: 'HZ', says: `frequency of the sine, Hz (${USUAL_TEST.hz})` },
  peak: { value: 'V', says: `peak of the sine at the input, volts (${USUAL_TEST.peakV})` },
  against: { value: 'FILE or PRESET', says: 'the second build, or chain' },
  'against-then': { value: 'FILE or PRESET', isList: true, says: 'the next pedal behind that of --against' },
  out: { value: 'FILE', says: 'the WAV file to write' },
  turn: {
    value: 'SECONDS',
    says: 'how long each build plays before the switch, s (one loop of the recording)',
  },
  loops: { value: 'N', says: 'how often the recording plays (1; 4 with --against and no --turn)' },
  text: { value: 'FILE', says: 'a text file to write: what plays when' },
  'speaker-filter': { says: 'through the speaker filter: a small amplifier and speaker' },
  part: {
    value: 'REF',
    says: 'the part to find candidates for, with those of its group: D1; or D1,D2, or a group by its name; in a chain 2:D1',
  },
  alone: { says: 'only the part of --part, without its group' },
  candidates: {
    value: 'LIST',
    says: '"1N34A, 2x BAT46, open" or "E12 10n..100n" (every type, or E6 about the value)',
  },
  drawer: {
    value: 'FILE',
    says: 'what you own: CSV of the drawer, or lines as on bags ("100x 4k7 1% 0.25W")',
  },
  spread: {
    says: "spread from piece to piece of each candidate's type, also where the verdict does not need it (in --json)",
  },
  check: { value: 'FILE', says: 'a circuit file, a stage file, a build file or a chain file' },
  name: { value: 'NAME', says: 'your name for the piece: "OA91 no. 7" (its type and no. 1)' },
  like: {
    value: 'TYPE',
    says: 'the closest type of the catalogue; it gives the figures that you have not measured (of a diode: the nearest one)',
  },
  kind: { value: 'KIND', says: 'diode, transistor, jfet or pot; or the first word after the command' },
  points: {
    value: 'POINTS',
    says: 'of a diode: one to six forward voltages with their currents, 0.2/10uA,0.3/100uA,0.42/1mA, or with the resistor to --supply, 0.2/820k,0.3/82k',
  },
  reverse: {
    value: 'POINT',
    says: 'of a diode: voltage and current backwards, 1.5/1.1uA; or volts across the resistor with the diode turned round, 0.8/820k',
  },
  gain: {
    value: 'GAIN',
    says: 'of a transistor: collector current over base current, and the collector current, 95/1mA; the fit takes the leakage off',
  },
  leakage: { value: 'A', says: 'of a transistor: current from collector to emitter with the base open, A' },
  fed: {
    value: 'READING',
    says: 'of a transistor, instead of --gain: volts across its collector resistor with --base fitted, 1.54/2k2',
  },
  open: {
    value: 'READING',
    says: 'of a transistor, instead of --leakage: volts across it with the base open, 0.44/2k2',
  },
  base: { value: 'OHMS', says: 'resistor from the base to the pole of the collector resistor (2M2)' },
  idss: {
    value: 'A or READING',
    says: 'of a JFET: drain current with the gate at the source, A; or volts across a resistor from --supply to the drain, 0.06/100R',
  },
  meter: {
    value: 'OHMS',
    says: 'input resistance of your multimeter, such as 10M or 200k: what it reads at each net and leg, with an adapter, a fresh and a flat battery (none: it loads nothing)',
  },
  supplies: { value: 'LIST', says: 'supply voltages side by side, V, and what is over its limit: 9,12,18' },
  readings: {
    value: 'LIST',
    says: 'what you read of the finished board with an adapter: "bias=0.1, supply=8.9", V; the mistakes that explain it best come first',
  },
  cutoff: {
    value: 'V or READING',
    says: 'of a JFET: gate voltage at which it stops to conduct, V; or volts across a resistor at the source, the gate at its other end, 0.65/820k',
  },
  ends: { value: 'OHMS', says: 'of a potentiometer: from end to end' },
  middle: { value: 'OHMS', says: 'from its counter-clockwise end to the wiper, the knob in the middle' },
  quarter: { value: 'OHMS', says: 'the same with the knob at a quarter of its turn' },
  supply: { value: 'V', says: 'measured voltage of the battery, V (9)' },
  room: { value: 'CELSIUS', says: 'temperature of the room at the measurement, °C (27)' },
  count: {
    value: 'N',
    says: `builds, ${OPTION_LIMITS.count.least} to ${OPTION_LIMITS.count.most} (${USUAL_COUNT})`,
  },
  clipping: {
    value: 'N',
    says: `of how many of them to find where they clip from, which takes longest (${USUAL_CLIPPING_COUNT})`,
  },
  seed: {
    value: 'N',
    says: `of the random numbers, whole: another seed, other builds; the same, the same (${USUAL_SEED})`,
  },
  resistors: { value: 'PERCENT', says: 'tolerance of all resistors, 0.1 to 20 % (1)' },
  capacitors: {
    value: 'PERCENT',
    says: 'tolerance of all film and ceramic capacitors, 0.1 to 20 % (10, of C0G 5, of X5R 20)',
  },
  print: { value: 'ID', says: 'a circuit of the bench, as a document: a start for one of your own' },
  list: { says: 'the circuits of the bench: id, title, revision, presets' },
};

/** The options of a command, and its purpose. */
export interface CommandText {
  readonly says: string;
  /** In the order of the help. */
  readonly options: readonly OptionName[];
  /** The option that a first word without a name stands for. */
  readonly operand?: OptionName;
  /** Descriptions for options with a special meaning in this command. */
  readonly words?: Readonly<Partial<Record<OptionName, string>>>;
  readonly example: string;
}

const CHAIN: readonly OptionName[] = ['build', 'then', 'then-cable', 'off'];
const BUILD: readonly OptionName[] = [...CHAIN, 'piece', 'set', 'knob', 'switch', 'temperature', 'json'];
const RECORDING: readonly OptionName[] = ['in', 'channel', 'volts-per-full-scale'];
const RENDER: readonly OptionName[] = [...RECORDING, 'oversample', 'resampling'];
/** What is before the pedal and after it. */
const NEIGHBOURS: readonly OptionName[] = ['pickup', 'cable', 'into', 'into-cable'];
const AROUND: readonly OptionName[] = [...NEIGHBOURS, 'bypassed'];
const FACTORS = 'multiple of the recording’s rate: a power of two from 1 to 256, or offline, which is 32';

export const COMMAND_TEXTS = {
  presets: {
    says: 'Lists the presets, builds and chains: name, title, circuits.',
    options: ['json'],
    example: 'cliplead presets',
  },
  render: {
    says: 'Plays a recording through a build or a chain, into a WAV.',
    options: [...BUILD, 'out', ...RENDER, 'noise', 'source', ...AROUND],
    words: {
      oversample: `${FACTORS} (offline, more where the solver's error asks for it)`,
      source: 'what is at the input for --noise: pickup, with its cable, or shorted (pickup)',
    },
    example: 'cliplead render --build soft-led --set C3=100n --in guitar-fifths --out fifths.wav',
  },
  response: {
    says: 'Small-signal gain, dB, and phase, degrees, from the input to the output or any net.',
    options: [...BUILD, 'net', 'frequencies', ...AROUND],
    example: 'cliplead response --build soft-plain --then clean-plain --frequencies 100,1000,5000',
  },
  sine: {
    says: 'Harmonics of a steady sine, and levels along the signal path.',
    options: [...BUILD, 'net', 'hz', 'peak'],
    example: 'cliplead sine --build clean-plain --hz 220 --peak 0.1',
  },
  voltages: {
    says: 'DC volts, supply current, parts over their limits; what is wrong if a reading is off.',
    options: [...BUILD, 'meter', 'supplies', 'readings'],
    example: 'cliplead voltages --build soft-plain --meter 10M --readings "bias=0.1, supply=8.9"',
  },
  netlist: {
    says: 'The netlist of a build as the solver reads it, in SI units.',
    options: [...BUILD, ...AROUND],
    example: 'cliplead netlist --build soft-plain --json',
  },
  noise: {
    says: 'Hiss of a build at rest, 20 Hz to 20 kHz, and the parts that cause it.',
    options: [...BUILD, 'source', ...AROUND],
    words: {
      source: 'what is at the input: pickup, the one of --pickup or a single coil, or shorted (pickup)',
      pickup: 'the guitar, its controls full up: single-coil or humbucker (single-coil)',
    },
    example: 'cliplead noise --build clean-plain --set U1=NE5532',
  },
  pop: {
    says: 'Pop of the footswitch at the output while nothing is played: peak and length; in a chain of each.',
    options: [...BUILD, ...NEIGHBOURS],
    words: {
      pickup: 'the guitar, its controls full up: single-coil or humbucker (single-coil)',
      into: 'what follows the pedal: amplifier, pedal or line (amplifier, behind 6 m of cable)',
    },
    example: 'cliplead pop --build soft-plain --set R14=open',
  },
  compare: {
    says: 'Two builds or chains over one recording: loudness, null depth, octaves, harmonics, swaps.',
    options: [...BUILD, 'against', 'against-then', ...RENDER, 'out', ...AROUND],
    words: {
      oversample: `${FACTORS} (8, more where the solver's error asks for it)`,
      out: 'WAV file to write: A minus the matched B, made louder',
    },
    example: 'cliplead compare --build soft-plain --against soft-asymmetric --in guitar-slide',
  },
  parts: {
    says: 'What to order, as CSV: parts with ratings and markings, hardware; of a chain all.',
    options: [...BUILD, 'against', 'against-then', 'drawer'],
    words: {
      drawer: 'what you own, as CSV or lines as on bags: the list then says how many to buy',
      against: 'list only what this build needs and --build does not have: the parts of a swap',
    },
    example: 'cliplead parts --build soft-plain --against soft-led',
  },
  wiring: {
    says: 'A drawing of the wires off the board and of all pinouts, as SVG; of a chain one file for each pedal.',
    options: [...BUILD, 'out'],
    words: {
      out: 'the SVG file to write; of a chain wiring.svg becomes wiring-1.svg, wiring-2.svg',
      json: 'prints items with their lugs, wires from lug to lug, pinouts and notes; --out is then optional',
    },
    example: 'cliplead wiring --build soft-plain --out wiring.svg',
  },
  sheet: {
    says: 'The bench sheet, to print: schematic, parts, wiring, voltages, changes, cautions, as one HTML file.',
    options: [...BUILD, 'readings', 'meter', 'out'],
    words: {
      readings:
        'what you read of the finished board with an adapter: "bias=4.45, supply=8.9", V; in a chain "2:bias=4.45"; it stands on the sheet with a verdict',
      meter: 'input resistance of your multimeter (10M)',
      out: 'the HTML file to write; a browser prints it on A4 or saves it as PDF',
      json: 'prints all that the sheet says but the drawings, volts as a meter shows them; --out is then optional',
    },
    example: 'cliplead sheet --build soft-plain --out sheet.html',
  },
  types: {
    says: 'Every type of the catalogue: its model compared with datasheets, model cards and measured pieces.',
    options: ['json'],
    example: 'cliplead types --json',
  },
  fit: {
    says: 'Fits a model to what you measured of a diode, transistor, JFET or potentiometer.',
    operand: 'kind',
    options: [
      ...['kind', 'name', 'like', 'points', 'reverse', 'gain', 'leakage', 'fed', 'open', 'base', 'idss'],
      ...['cutoff', 'ends', 'middle', 'quarter', 'supply', 'meter', 'room', 'out', 'json'],
    ] as readonly OptionName[],
    words: {
      out: 'the file of the piece, for --piece and for "pieces" in a build file',
      meter: 'input resistance of the multimeter on DC volts (10M)',
      like: 'the closest type, of which it gives what you have not measured (of a diode: the nearest one); of a potentiometer the printed value',
    },
    example:
      'cliplead fit diode --like OA91 --supply 9.2 --points 0.155/820k,0.215/82k,0.291/8k2 --reverse 0.8/820k --out piece.json',
  },
  pairs: {
    says: 'Which two of your measured parts are nearest to each other, and which most unlike, by kind.',
    options: ['piece', 'json'],
    words: {
      piece:
        'a part as "cliplead fit --out" writes it, or a file of measured parts of the page; two or more parts',
    },
    example: 'cliplead pairs --piece my-parts.json --json',
  },
  rank: {
    says: 'Candidates for a part or a group, ranked by how much they change the sound.',
    options: [...BUILD, 'part', 'alone', 'candidates', 'drawer', 'spread', ...RENDER, ...NEIGHBOURS],
    words: {
      drawer: 'only candidates of which you own enough: a file of what you own',
      oversample: `${FACTORS} (8, more where the solver's error asks for it)`,
    },
    example: 'cliplead rank --build soft-plain --part D1 --candidates "1N34A, BAT46" --in guitar-slide',
  },
  spread: {
    says: 'Builds with other parts of the same values: how far they differ, and by which parts.',
    options: [
      ...BUILD,
      'against',
      'against-then',
      'count',
      'clipping',
      'seed',
      'resistors',
      'capacitors',
      ...AROUND,
    ],
    words: {
      temperature: `of the bench, °C, ${lowest} to ${highest}, or a range such as 5..40 (${nominal})`,
      against:
        'the build or chain after a swap, to say how large that is beside another set of the same parts',
    },
    example: 'cliplead spread --build soft-plain --against soft-germanium --count 10000',
  },
  excerpt: {
    says: 'A WAV to share: a build, or with --against two in turn, equally loud.',
    options: [
      ...BUILD,
      'against',
      'against-then',
      'out',
      'text',
      'turn',
      'loops',
      'speaker-filter',
      ...RENDER,
      ...NEIGHBOURS,
    ],
    words: { oversample: `${FACTORS} (${EXCERPT_OVERSAMPLING}, more where the solver's error asks for it)` },
    example: 'cliplead excerpt --build soft-plain --against soft-led --in guitar-slide --out both.wav',
  },
  circuit: {
    says: 'Prints every problem of a file (exit code 2), or lists or prints the circuits of the bench.',
    options: ['check', 'list', 'print', 'json'],
    example: 'cliplead circuit --check my.circuit.json',
  },
  stages: {
    says: 'Lists the stages that a circuit file can name, by what they do: id, title, ports, knobs.',
    options: ['print', 'json'],
    words: { print: 'one stage, as a document with the formulas of its values' },
    example: 'cliplead stages --print diodes-to-ground',
  },
  loudness: {
    says: 'Integrated, momentary and short-term loudness and true peak of a recording, after ITU-R BS.1770-5.',
    options: ['in', 'json'],
    example: 'cliplead loudness --in guitar-fifths',
  },
} as const satisfies Readonly<Record<string, CommandText>>;

export type CommandName = keyof typeof COMMAND_TEXTS;
