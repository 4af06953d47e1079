import { knobTurns } from '../analysis/knob-turn.ts';
import { ORDER_GROUPS, type PedalOrder, pedalOrders, placesText } from '../analysis/order-list.ts';
import { type Build, startingBuild } from '../builds/build.ts';
import { buildNotes, buildTitle } from '../builds/build-title.ts';
import type { Chain } from '../builds/chain.ts';
import { chainTitle } from '../builds/chain-swaps.ts';
import { clockText, pinLines, swapsWithFigures, swapText } from '../builds/swaps.ts';
import { resistorPicture } from '../drawing/resistor-bands.ts';
import { Refusal } from '../input/refusal.ts';
import { temperatureText } from '../network/temperature.ts';
import { escaped } from '../wiring/picture.ts';
import { pinoutPicture } from '../wiring/pinout-pictures.ts';
import { type Pinout, pinoutsOf } from '../wiring/pinouts.ts';
import { wireRows } from '../wiring/wire-list.ts';
import { wiringOf } from '../wiring/wiring-of-build.ts';
import { svgDocument, wiringPicture } from '../wiring/wiring-svg.ts';
import { type Caution, cautionsOfAll } from './cautions.ts';
import { schematicPictures } from './schematic-picture.ts';
import { type Column, list, paragraph, table } from './sheet-markup.ts';
import { sheetStyles } from './sheet-styles.ts';
import { voltageSection } from './voltage-section.ts';

/** What a sheet is made of. */
export interface SheetSource {
  readonly chain: Chain;
  readonly temperatureK: number;
  /** Day on which it is made, as it is printed. */
  readonly date: string;
  /** File of the build, as it is printed. */
  readonly fileName: string;
}

/**
 * A bench sheet as a whole HTML document that needs nothing else and has no script: for each pedal schematic, parts list,
 * wiring, voltages, changes and notes; then the cautions of all. Texts from builds are escaped.
 *
 * @throws BuildError where a build cannot be made.
 */
export function benchSheet(source: SheetSource): string {
  const { chain, temperatureK, date, fileName } = source;
  const builds = chain.pedals.map(({ build }) => build);
  const title = chainTitle(chain);
  const orders = pedalOrders(playable(chain), temperatureK);
  const isLone = builds.length === 1;
  const pedals = builds.map((build, index) => {
    const section = pedalSection(build, orders[index]!, temperatureK);
    const own = isLone ? '' : `<h1>Pedal ${index + 1}: ${escaped(buildTitle(build))}</h1>\n`;
    return `<section class="pedal">\n${own}${section}\n</section>`;
  });
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(`${title}, bench sheet`)}</title>
<style>${sheetStyles(`${title}, ${date}, ${fileName}`)}</style>
</head>
<body>
<h1>${escaped(title)}</h1>
${facts([
  ['Date', date],
  ['File', fileName],
  ['Temperature', temperatureText(temperatureK)],
])}
${pedals.join('\n')}
<section class="cautions">
<h2>Cautions</h2>
${list(cautionsOfAll(builds).map(cautionItem))}
</section>
</body>
</html>
`;
}

/** Ratings hold for all positions of the knobs and with every effect on. */
function playable({ pedals }: Chain): Chain {
  return {
    pedals: pedals.map((pedal) => ({ ...pedal, isOn: true, build: { ...pedal.build, knobs: {} } })),
  };
}

function pedalSection(build: Build, order: PedalOrder, temperatureK: number): string {
  return `${facts(controlFacts(build))}
<h2>Schematic</h2>
${schematicPictures(build)
  .map((svg) => figure(svg))
  .join('\n')}
<h2>Parts list</h2>
${partsSection(order)}
<h2>Wiring</h2>
${wiringSection(build, temperatureK)}
<h2>Voltages</h2>
${voltageSection(build, temperatureK)}
<h2>Changes and notes</h2>
${changesSection(build, temperatureK)}`;
}

function facts(rows: readonly (readonly [name: string, text: string])[]): string {
  const drawn = rows.map(([name, text]) => `<dt>${escaped(name)}</dt><dd>${escaped(text)}</dd>`);
  return `<dl class="facts">${drawn.join('')}</dl>`;
}

function controlFacts({ circuit, knobs, switches, bypass }: Build): readonly (readonly [string, string])[] {
  const turned = circuit.knobs.map(({ name }) => `${name} ${clockText(knobs[name] ?? 0)}`);
  const thrown = circuit.switches.map(({ name }) => `${name} ${switches[name] ?? ''}`);
  return [
    ['Circuit', circuit.title],
    ...(turned.length === 0 ? [] : [['Knobs', turned.join(', ')] as const]),
    ...(thrown.length === 0 ? [] : [['Switches', thrown.join(', ')] as const]),
    ['Bypass', bypass],
  ];
}

const figure = (svg: string, kind = ''): string =>
  `<figure${kind === '' ? '' : ` class="${kind}"`}>${svg}</figure>`;

const PARTS_COLUMNS: readonly Column[] = [
  ['Count', 12],
  ['Value', 30],
  ['Kind', 26],
  ['Place', 24],
  ['Rating', 15],
  ['Size', 38],
  ['Marking', 37],
];

function partsSection({ rows, unrated }: PedalOrder): string {
  const groups = ORDER_GROUPS.map((title) => ({ title, rows: rows.filter(({ group }) => group === title) }));
  const lines = groups
    .filter((group) => group.rows.length > 0)
    .map(({ title, rows: own }) => ({
      title,
      rows: own.map((row) => [
        `${row.quantity} ×`,
        row.value,
        row.kind,
        placesText(row.refs),
        row.rating,
        row.package,
        row.bands.length === 0
          ? row.marking
          : { markup: `${row.bands.map(resistorPicture).join('')}${escaped(row.marking)}` },
      ]),
    }));
  return `${unrated === undefined ? '' : paragraph(unrated)}${table(PARTS_COLUMNS, lines)}`;
}

const WIRE_COLUMNS: readonly Column[] = [
  ['', 6],
  ['From', 40],
  ['To', 36],
  ['Net', 36],
  ['On the board at', 64],
];
/** Pinouts beside each other in one row of the drawing: a page ends between rows. */
const PINOUTS_IN_ROW = 3;

function wiringSection(build: Build, temperatureK: number): string {
  const wiring = wiringOf(build, attemptTurns(build, temperatureK));
  const pinouts = pinoutsOf(build);
  const rows = Array.from({ length: Math.ceil(pinouts.length / PINOUTS_IN_ROW) }, (_, index) =>
    pinouts.slice(PINOUTS_IN_ROW * index, PINOUTS_IN_ROW * (index + 1)),
  );
  const wires = wireRows(build, wiring).map(({ from, to, net, pins, isOptional }) => [
    { markup: '<span class="box"></span>' },
    from,
    to,
    net,
    `${pins.join(', ')}${isOptional ? ' (LED, not fitted)' : ''}`,
  ]);
  return `${figure(svgDocument(wiringPicture(wiring), 'Wires off the board'), 'wide')}
${list(wiring.notes)}
<h3>Wires, one by one</h3>
${table(WIRE_COLUMNS, [{ rows: wires }])}
${rows.length === 0 ? '' : '<h3>Pins from above</h3>'}
${rows.map(pinoutFigure).join('\n')}`;
}

const pinoutFigure = (row: readonly Pinout[]): string =>
  figure(svgDocument(pinoutPicture(row), 'Pins from above'), 'wide');

/** Without them the drawing only leaves out what a turn of a knob does. */
function attemptTurns(build: Build, temperatureK: number): ReadonlyMap<string, string> {
  try {
    return knobTurns(build, temperatureK);
  } catch (error) {
    if (error instanceof Refusal) return new Map();
    throw error;
  }
}

function changesSection(build: Build, temperatureK: number): string {
  const start = startingBuild(build.circuit);
  const swaps = swapsWithFigures(start, build, temperatureK).filter(({ what }) => what !== 'knob');
  const notes = buildNotes(build);
  const changes =
    swaps.length === 0
      ? paragraph('No part differs from the starting values of the circuit.')
      : `${paragraph('From the starting values of the circuit:')}${list([
          ...swaps.map((swap) => swapText(build, swap)),
          ...pinLines(start, build),
        ])}`;
  return `${changes}${notes === '' ? '' : paragraphsOf(notes)}`;
}

/** Line ends of notes are kept. */
const paragraphsOf = (notes: string): string =>
  notes
    .split(/\r?\n/)
    .filter((line) => line.trim() !== '')
    .map((line) => paragraph(line))
    .join('');

function cautionItem({ about, text, source }: Caution) {
  return {
    markup: `<strong>${escaped(about)}.</strong> ${escaped(text)} <span class="source">(${escaped(source)})</span>`,
  };
}
