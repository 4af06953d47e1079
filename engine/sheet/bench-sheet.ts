import type { Build } from '../builds/build.ts';
import { inLine } from '../input/shown-text.ts';
import { escaped } from '../wiring/picture.ts';
import { pinoutPicture } from '../wiring/pinout-pictures.ts';
import type { Pinout } from '../wiring/pinouts.ts';
import { boardText } from '../wiring/wire-list.ts';
import { svgDocument, wiringPicture } from '../wiring/wiring-svg.ts';
import type { Caution } from './cautions.ts';
import { partsSection } from './parts-section.ts';
import { schematicPictures } from './schematic-picture.ts';
import { type PedalData, type SheetData, type SheetSource, sheetData } from './sheet-data.ts';
import { type Column, list, paragraph, TICK_BOX, table } from './sheet-markup.ts';
import { sheetStyles } from './sheet-styles.ts';
import { voltageSection } from './voltage-section.ts';

/** Of title and file name each, so that the footer stays on one line beside the number of the page. */
const MOST_FOOTER_CHARACTERS = 48;

/**
 * A bench sheet as a whole HTML document that needs nothing else and has no script: for each pedal schematic, parts list,
 * wiring, voltages, changes and notes; then the mod log and the cautions of all. Texts from builds are escaped.
 *
 * @param data What it says, where that is known already. @throws BuildError where a build cannot be made.
 */
export function benchSheet(source: SheetSource, data: SheetData = sheetData(source)): string {
  const { title, date, fileName, temperature, pedals, log, cautions } = data;
  const isLone = pedals.length === 1;
  const sections = pedals.map((pedal, index) => {
    const section = pedalSection(source.chain.pedals[index]!.build, pedal);
    const own = isLone ? '' : `<h1>Pedal ${index + 1}: ${escaped(pedal.title)}</h1>\n`;
    return `<section class="pedal">\n${own}${section}\n</section>`;
  });
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(`${title}, bench sheet`)}</title>
<style>${sheetStyles([title, date, fileName].map((text) => inLine(text, MOST_FOOTER_CHARACTERS)).join(', '))}</style>
</head>
<body>
<h1>${escaped(title)}</h1>
${facts([
  ['Date', date],
  ['File', fileName],
  ['Temperature', temperature],
])}
${paragraph('Read the cautions at the end of this sheet before you heat the iron.')}
${sections.join('\n')}
${log.length === 0 ? '' : `<section class="log">\n<h2>Mod log</h2>\n${list(log)}\n</section>`}
<section class="cautions">
<h2>Cautions</h2>
${list(cautions.map(cautionItem))}
</section>
</body>
</html>
`;
}

function pedalSection(build: Build, pedal: PedalData): string {
  const { parts, voltages, changes, notes } = pedal;
  return `${facts(controlFacts(pedal))}
<h2>Schematic</h2>
${schematicPictures(build)
  .map(({ svg, isTurned }) => figure(svg, isTurned ? 'turned' : ''))
  .join('\n')}
<h2>Parts list</h2>
${partsSection(parts)}
<h2>Wiring</h2>
${wiringSection(pedal)}
<h2>Voltages</h2>
${voltageSection(voltages)}
<section class="changes">
<h2>Changes and notes</h2>
${
  changes.length === 0
    ? paragraph('No part differs from the starting values of the circuit.')
    : `${paragraph('From the starting values of the circuit:')}${list(changes)}`
}${notes.map((line) => paragraph(line)).join('')}
</section>`;
}

function facts(rows: readonly (readonly [name: string, text: string])[]): string {
  const drawn = rows.map(([name, text]) => `<dt>${escaped(name)}</dt><dd>${escaped(text)}</dd>`);
  return `<dl class="facts">${drawn.join('')}</dl>`;
}

function controlFacts(pedal: PedalData): readonly (readonly [string, string])[] {
  const joined = (positions: Readonly<Record<string, string>>) =>
    Object.entries(positions)
      .map(([name, position]) => `${name} ${position}`)
      .join(', ');
  const [knobs, switches] = [joined(pedal.knobs), joined(pedal.switches)];
  return [
    ['Circuit', pedal.circuit],
    ...(knobs === '' ? [] : [['Knobs', knobs] as const]),
    ...(switches === '' ? [] : [['Switches', switches] as const]),
    ['Bypass', pedal.bypass],
  ];
}

const figure = (svg: string, kind = ''): string =>
  `<figure${kind === '' ? '' : ` class="${kind}"`}>${svg}</figure>`;

const WIRE_COLUMNS: readonly Column[] = [
  ['', 6],
  ['From', 40],
  ['To', 36],
  ['Net', 36],
  ['On the board at', 64],
];
/** Pinouts beside each other in one row of the drawing: a page ends between rows. */
const PINOUTS_IN_ROW = 3;

function wiringSection({ wiring, wires, pinouts }: PedalData): string {
  const rows = Array.from({ length: Math.ceil(pinouts.length / PINOUTS_IN_ROW) }, (_, index) =>
    pinouts.slice(PINOUTS_IN_ROW * index, PINOUTS_IN_ROW * (index + 1)),
  );
  const lines = wires.map((wire) => [TICK_BOX, wire.from, wire.to, wire.net, boardText(wire)]);
  return `${figure(svgDocument(wiringPicture(wiring), 'Wires off the board'), 'wide')}
${list(wiring.notes)}
<h3>Wires, one by one</h3>
${table(WIRE_COLUMNS, [{ rows: lines }])}
${rows.length === 0 ? '' : '<h3>Pins from above</h3>'}
${rows.map(pinoutFigure).join('\n')}`;
}

const pinoutFigure = (row: readonly Pinout[]): string =>
  figure(svgDocument(pinoutPicture(row), 'Pins from above'), 'wide');

function cautionItem({ about, text, source }: Caution) {
  return {
    markup: `<strong>${escaped(about)}.</strong> ${escaped(text)} <span class="source">(${escaped(source)})</span>`,
  };
}
