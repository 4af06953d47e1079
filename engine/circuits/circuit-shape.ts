import { isRecord } from '../input/json.ts';
import { POT_LAWS } from '../units/taper.ts';
import type { Circuit, Stage } from './circuit.ts';
import {
  described,
  either,
  flag,
  kinds,
  list,
  number,
  object,
  oneOf,
  record,
  type Shape,
  text,
  tuple,
  wordOf,
} from './document-shape.ts';
import type { FORMULA_NAMES, PartFigure } from './part-figure.ts';
import type { PartGroup } from './part-group.ts';
import { JOBS_OF_KIND } from './part-job.ts';
import type { PartSpec, TransistorKind } from './part-spec.ts';
import { aKind } from './part-values.ts';

/** The shape of a circuit's document. `circuit-check.ts` checks its names. */

export const CIRCUIT_FORMAT = 'cliplead-circuit';
export const CIRCUIT_VERSION = 1;

/** Largest coordinate of a drawing, grid steps; a step is about a tenth of an inch. */
const MOST_STEPS = 200;
const MOST_PARTS = 120;
const MOST_STAGES = 24;
const MOST_CONTROLS = 24;

const REF = '^[A-Z]{1,3}[0-9]{1,3}[A-Z]?$';
const refText = text({ most: 8, pattern: REF, what: 'a reference designator such as "R4" or "VR1A"' });
/** Lower case, so that a name is never mistaken for a reference designator or a pin. */
const NAME = '^(?!constructor$)[a-z][a-z0-9]*(?:[ -][a-z0-9]+)*$';
const WHAT_NAME = 'a name of small letters, digits and single spaces';
const name = text({ most: 60, pattern: NAME, what: WHAT_NAME });
const PORT = '^(?!constructor$)[a-z][a-z0-9-]*$';
const port = text({ most: 24, pattern: PORT, what: 'a name of small letters, digits and hyphens' });
const id = port;
const pin = text({
  most: 40,
  pattern: '^([a-z][a-z0-9-]*|[A-Z]{1,3}[0-9]{1,3}[A-Z]?[.][a-z0-9-]+)$',
  what: 'a pin such as "R4.1", or a port such as "in"',
});
const sentence = text({ most: 300 });
const value = text({ most: 20, what: 'a value as printed on parts: "4k7", "47n", "9V"' });
const type = text({ most: 40, what: 'a type: "1N4148", "RC4558"' });
const refs = list(refText, { least: 1, most: 8 });
const ratio = number({ least: -10, most: 10 });

const coordinate = number({ least: -MOST_STEPS, most: MOST_STEPS });
const place = {
  at: described('Middle of the symbol, grid steps: [x to the right, y down].', tuple(coordinate, coordinate)),
  role: sentence,
};
const turned = <K extends PartSpec['kind']>(kind: K) => ({
  job: described(
    'What it does, by a closed list: parts of two circuits with the same job are compared.',
    wordOf<(typeof JOBS_OF_KIND)[K][number]>(JOBS_OF_KIND[kind], `a job that ${aKind(kind)} can have`),
  ),
  turn: described('Clockwise turn of the symbol, degrees.', oneOf([0, 90, 180, 270])),
  flip: flag(),
  labels: oneOf(['left', 'right']),
});

const transistor = <K extends TransistorKind>(kind: K) =>
  object({ kind: oneOf([kind]), type, ...place }, turned(kind));

/** Of a part that can be left out. */
const optional = <K extends PartSpec['kind']>(kind: K) => ({
  ...turned(kind),
  fit: described(
    'Where the part is not fitted (open) or jumpered (bridged) at the start.',
    oneOf(['open', 'bridged']),
  ),
});

const PARTS = {
  resistor: object({ kind: oneOf(['resistor']), value, ...place }, optional('resistor')),
  inductor: object({ kind: oneOf(['inductor']), value, ...place }, optional('inductor')),
  supply: object({ kind: oneOf(['supply']), value, ...place }, turned('supply')),
  capacitor: object(
    { kind: oneOf(['capacitor']), value, polarised: flag(), ...place },
    optional('capacitor'),
  ),
  diode: object(
    { kind: oneOf(['diode']), type, count: number({ least: 1, most: 6, isWhole: true }), ...place },
    optional('diode'),
  ),
  npn: transistor('npn'),
  pnp: transistor('pnp'),
  nJfet: transistor('nJfet'),
  pJfet: transistor('pJfet'),
  nMosfet: transistor('nMosfet'),
  opamp: object({ kind: oneOf(['opamp']), package: refText, ...place }, turned('opamp')),
  pot: object({ kind: oneOf(['pot']), value, law: oneOf(POT_LAWS), ...place }, optional('pot')),
  converter: object(
    {
      kind: oneOf(['converter']),
      type,
      ratios: described(
        'Voltage of each output without load, divided by that of the supply pin.',
        object({ doubled: ratio, inverted: ratio }),
      ),
      ...place,
    },
    {
      ...turned('converter'),
      pump: described(
        'Its pump capacitors, where they are parts of the circuit, and the first diode of the doubler. Its pins are then those of the chip.',
        object({
          doubler: object({ capacitor: refText, diode: refText }),
          inverter: object({ capacitor: refText }),
        }),
      ),
    },
  ),
  switch: object(
    {
      kind: oneOf(['switch']),
      pins: list(port, { least: 1, most: 16 }),
      positions: described(
        'Pairs of pins that each position connects.',
        record(list(tuple(port, port), { most: 16 }), { pattern: NAME, what: WHAT_NAME, most: 8 }),
      ),
      ...place,
    },
    turned('switch'),
  ),
} satisfies { readonly [K in PartSpec['kind']]: unknown };
const part: Shape<PartSpec> = kinds('kind', PARTS);

const portPlace = either(
  '"flags", or a place on the grid',
  (found) => (typeof found === 'string' ? 0 : Array.isArray(found) ? found.length - 1 : -1),
  oneOf(['flags']),
  tuple(coordinate, coordinate),
  tuple(coordinate, coordinate, oneOf(['left', 'right', 'up', 'down'])),
);

const pins = list(pin, { least: 2, most: 64 });
const wire = either(
  'a list of pins, or an object with "name" and "pins"',
  (found) => (Array.isArray(found) ? 0 : isRecord(found) ? 1 : -1),
  pins,
  object({ name, pins }),
);

const bypassKinds = list(oneOf(['true', 'buffered', 'transistor-switched']), { least: 1, most: 3 });

/** What a stage is, in a circuit and as a document of its own. */
const stageBody = {
  id,
  title: text({ most: 60 }),
  ports: described(
    'Connections to other stages: "in" and "out" follow the signal, a port of any other name is one net in all stages that have it.',
    record(portPlace, { pattern: PORT, what: 'a port of small letters, digits and hyphens', most: 16 }),
  ),
  parts: record(part, { pattern: REF, what: 'a reference designator such as "R4"', most: MOST_PARTS }),
  wires: list(wire, { most: 200 }),
};
const stage: Shape<Stage> = object(stageBody, {
  bypass: described('Kinds of bypass with which the stage is built; all if absent.', bypassKinds),
});

const rotation = number({ least: 0, most: 1 });
const figureNet = described(
  'The name of a net, or one of its pins: "R11.1".',
  text({
    most: 60,
    pattern: `${NAME}|^[A-Z]{1,3}[0-9]{1,3}[A-Z]?[.][a-z0-9-]+$`,
    what: 'the name of a net, or a pin such as "R11.1"',
  }),
);
const knobPositions = described(
  'Positions of knobs for this figure.',
  record(rotation, { pattern: NAME, what: WHAT_NAME, most: MOST_CONTROLS }),
);
const transferred = { from: figureNet, to: figureNet };
const gainTransfer = described(
  'Nets between which the network shows the gain; without it the figure is that of the parts alone.',
  object(transferred, {
    knobs: knobPositions,
    through: described('Resistors in series: the only way for the signal.', refs),
    hz: described(
      'Frequency of the gain; without it the highest one counts.',
      number({ least: 1, most: 20000 }),
    ),
  }),
);
const cornerTransfer = described(
  'Nets between which the network shows the cutoff frequency; without it the figure is that of the parts alone.',
  object(
    { ...transferred, passband: oneOf(['above', 'below']) },
    {
      knobs: knobPositions,
      source: described(
        'Of earlier documents, and without effect: what drives the first net in the build always drives it.',
        oneOf(['circuit']),
      ),
    },
  ),
);

const figured = { name: text({ most: 80 }), parts: described('Parts that change the figure.', refs) };
const divider = { supply: refText, upper: refText, lower: refText };
const FIGURES = {
  corner: object(
    {
      ...figured,
      formula: oneOf(['corner']),
      resistors: refs,
      joined: oneOf(['in series', 'in parallel']),
      capacitors: refs,
    },
    { transfer: cornerTransfer },
  ),
  'non-inverting gain': object(
    { ...figured, formula: oneOf(['non-inverting gain']), feedback: refs, toGround: refText },
    { transfer: gainTransfer },
  ),
  'inverting gain': object(
    { ...figured, formula: oneOf(['inverting gain']), feedback: refText, input: refs },
    { transfer: gainTransfer },
  ),
  divider: object(
    { ...figured, formula: oneOf(['divider']), upper: refText, lower: refText },
    { transfer: gainTransfer },
  ),
  'parallel resistance': object(
    { ...figured, formula: oneOf(['parallel resistance']), resistors: refs },
    {
      seenAt: described(
        'Net at which the network shows the resistance; by a pin, that into the stage of the pin alone.',
        figureNet,
      ),
    },
  ),
  'divided supply': object({ ...figured, formula: oneOf(['divided supply']), ...divider }),
  'follower current': object({
    ...figured,
    formula: oneOf(['follower current']),
    ...divider,
    emitter: refText,
  }),
  'voltage at rest': object({ ...figured, formula: oneOf(['voltage at rest']), net: figureNet }),
  gain: object({ ...figured, formula: oneOf(['gain']), transfer: gainTransfer }),
  'forward voltage': object(
    { ...figured, formula: oneOf(['forward voltage']), diodes: refs },
    {
      at: object({
        switch: name,
        positions: record(refs, { pattern: NAME, what: WHAT_NAME, most: 8 }),
      }),
    },
  ),
} satisfies { readonly [N in (typeof FORMULA_NAMES)[number]]: unknown };
const figure: Shape<PartFigure> = kinds('formula', FIGURES);

const knob = object(
  { ref: refText, name, start: described('Rotation, 0 (counter-clockwise) to 1.', rotation) },
  {
    gang: described(
      'Turns with another knob while a switch is at a position: one dual-gang potentiometer.',
      object({ knob: name, switch: name, position: name }),
    ),
  },
);
const switchControl = object(
  { ref: refText, name, start: name },
  { isWiring: described('A choice made in the wiring, not a switch on the pedal.', flag()) },
);
const bypass = object(
  { kinds: bypassKinds },
  {
    footswitch: described(
      'Switches that the foot moves, each with the positions "on" and "bypassed". Without it "bufferedNet" and "inputStages" say where a bypass of fixed values begins.',
      list(refText, { least: 1, most: 8 }),
    ),
    bufferedNet: name,
    inputStages: list(id, { least: 1, most: MOST_STAGES }),
    outputBuffer: object({ stage: id, inputNet: name }),
  },
);

/** Groups of parts, in a circuit's document and in a build file. */
export const groupsShape: Shape<readonly PartGroup[]> = list(
  object(
    { name, parts: described('Parts of one kind.', list(refText, { least: 2, most: 16 })) },
    { isUsual: described('A swap of one of them is a swap of all, unless one alone is asked for.', flag()) },
  ),
  { most: 24 },
);

const controls = {
  packages: record(object({ type, role: sentence }), {
    pattern: REF,
    what: 'a reference designator such as "U1"',
    most: 16,
  }),
  knobs: list(knob, { most: MOST_CONTROLS }),
  switches: list(switchControl, { most: MOST_CONTROLS }),
};
const figures = list(figure, { most: 60 });
const revision = number({ least: 1, most: 1e6, isWhole: true });

const body: { readonly [K in keyof Omit<Circuit, 'groups'>]: Shape<Circuit[K]> } = {
  id,
  revision,
  title: text({ most: 60 }),
  stages: described('In signal order.', list(stage, { least: 1, most: MOST_STAGES })),
  ...controls,
  rails: described('Shared ports that carry supplies and bias.', list(port, { most: 8 })),
  bypass,
  clippingNet: described('Where the signal is clipped.', name),
  clippingDiodes: described('The diodes that limit it.', list(refText, { most: 16 })),
  roles: object({ level: name, supply: refText }),
  figures,
};

/** Shapes that documents of stages have in common with circuits. */
export const SHARED_SHAPES = {
  stageBody,
  controls,
  figures,
  revision,
  id,
  port,
  refText,
  name,
  rotation,
  /** Objects by designator, and by the name of a control. */
  byRef: <T>(of: Shape<T>) =>
    record(of, { pattern: REF, what: 'a reference designator such as "R4"', most: MOST_PARTS }),
  byName: <T>(of: Shape<T>) => record(of, { pattern: NAME, what: WHAT_NAME, most: MOST_CONTROLS }),
} as const;

/** A circuit as a document of its own. */
export const circuitShape = object(
  { format: oneOf([CIRCUIT_FORMAT]), version: oneOf([CIRCUIT_VERSION]), ...body },
  {
    $schema: text({ most: 200 }),
    groups: described('Parts that are swapped together.', groupsShape),
  },
);
