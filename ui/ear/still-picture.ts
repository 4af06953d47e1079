import { FrequencyResponse, logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import type { Build } from '../../engine/builds/build.ts';
import { circuitSwapCounts, circuitSwaps, wholeStagesText } from '../../engine/builds/circuit-swaps.ts';
import { networkWithin } from '../../engine/builds/surroundings.ts';
import { swapsWithFigures, swapText, unlikeText } from '../../engine/builds/swaps.ts';
import { inLine } from '../../engine/input/shown-text.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import '../components/schematic/build-schematic.ts';
import type { BuildSchematic } from '../components/schematic/build-schematic.ts';
import { schematicStyles } from '../components/schematic/schematic-styles.ts';
import type { BenchState } from '../state/bench-state.ts';
import { areCompared, chainNotes } from '../state/chain-notes.ts';
import { sideTitle } from '../state/chains.ts';
import { surroundings } from '../state/played-network.ts';
import { escaped, wellFormed } from './picture-text.ts';

/** Size of the picture for an excerpt, pixels. */
const WIDTH = 1400;
const MARGIN = 50;
const LINE = 30;
const PLOT_HEIGHT = 280;
/** Of a title, in the width of the picture. */
const TITLE_CHARACTERS = 80;
const PLOT_LEFT = MARGIN + 60;
const PLOT_HZ = logarithmicFrequencies(20, 20_000, 121);
const GRID_HZ = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];
/** Colours for paper in any theme: A, B, and ink. */
const INK = {
  '--ink': '#1d1c1a',
  '--ink-soft': '#5c5850',
  '--sheet': '#ffffff',
  '--line': '#d9d4c7',
  '--line-strong': '#8d8778',
};
const BUILD_INK = { a: '#0072b2', b: '#d55e00' } as const;

/**
 * Schematic, swaps in words and response curves of an excerpt's builds as one PNG.
 *
 * @throws NetworkError, OperatingPointError; Error where the browser cannot draw it.
 */
export async function stillPicture(state: BenchState, hasTwo: boolean): Promise<Blob> {
  const { a, b } = state.builds;
  const builds: readonly (readonly ['a' | 'b', Build])[] = hasTwo
    ? [
        ['a', a],
        ['b', b],
      ]
    : [[state.heard, state.builds[state.heard]]];
  const sheet = await schematicOf({ ...state, heard: builds[0]![0], selected: '', probe: undefined });
  const temperatureK = kelvinOf(state.temperatureC);
  // In a chain of the pedals that are looked at, as on the sheet below; what else differs comes before.
  const words = hasTwo
    ? [
        ...chainNotes(state).map(({ text }) => text),
        ...(areCompared(state) ? differences(a, b, temperatureK) : []),
      ]
    : [];
  const titles = builds.map(
    ([slot]) => `${slot.toUpperCase()}  ${isolated(inLine(sideTitle(state, slot), TITLE_CHARACTERS))}`,
  );
  const scale = (WIDTH - 2 * MARGIN) / sheet.width;
  const sheetTop = MARGIN + LINE * (titles.length + words.length + 1);
  const plotTop = sheetTop + sheet.height * scale + LINE;
  const height = Math.ceil(plotTop + PLOT_HEIGHT + 2 * MARGIN);
  const heading = [
    ...titles.map((text, index) => textAt(text, index, { bold: true, fill: BUILD_INK[builds[index]![0]] })),
    ...words.map((text, index) => textAt(text, titles.length + index, {})),
  ];
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${height}" viewBox="0 0 ${WIDTH} ${height}">
    <rect width="100%" height="100%" fill="#ffffff"/>${heading.join('')}
    <svg x="${MARGIN}" y="${sheetTop}" width="${WIDTH - 2 * MARGIN}" height="${sheet.height * scale}" viewBox="0 0 ${sheet.width} ${sheet.height}"><style>${sheet.css}</style>${sheet.markup}</svg>
    ${plotOf(state, builds, plotTop)}</svg>`;
  return rasterised(svg, WIDTH, height);
}

/** One swap a line; of two circuits only what a picture has room for. */
function differences(a: Build, b: Build, temperatureK: number): readonly string[] {
  const unlike = unlikeText(a, b);
  if (unlike === undefined) return swapsWithFigures(a, b, temperatureK).map((swap) => swapText(a, swap));
  const swaps = circuitSwaps(a, b);
  return [`${unlike} Parts: ${circuitSwapCounts(swaps)}.`, wholeStagesText(swaps)].filter(
    (line) => line !== '',
  );
}

/** A text that may run from right to left does not turn what stands beside it: FSI and PDI, Unicode Annex 9. */
function isolated(text: string): string {
  return `\u2068${text}\u2069`;
}

function textAt(text: string, line: number, { bold = false, fill = INK['--ink'] }): string {
  return `<text x="${MARGIN}" y="${MARGIN + LINE * line}" style="font: ${bold ? 600 : 400} 22px sans-serif; fill: ${fill}">${escaped(text)}</text>`;
}

interface DrawnSheet {
  readonly markup: string;
  readonly css: string;
  readonly width: number;
  readonly height: number;
}

/** The schematic, drawn off screen, with the colours of its styles filled in. */
async function schematicOf(state: BenchState): Promise<DrawnSheet> {
  const element = document.createElement('build-schematic') as BuildSchematic;
  element.state = state;
  element.style.cssText = `position: fixed; left: -10000px; top: 0; width: ${WIDTH}px; height: 800px`;
  document.body.append(element);
  try {
    await element.updateComplete;
    await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
    await element.updateComplete;
    const svg = element.shadowRoot?.querySelector('svg');
    if (!svg) throw new Error('The schematic could not be drawn.');
    const [, , width, height] = svg.viewBox.baseVal
      ? [0, 0, svg.viewBox.baseVal.width, svg.viewBox.baseVal.height]
      : [0, 0, 100, 100];
    const css = Object.entries({ ...INK, '--a-text': BUILD_INK.a, '--b-text': BUILD_INK.b })
      .reduce((text, [name, colour]) => text.replaceAll(`var(${name})`, colour), schematicStyles.cssText)
      .replaceAll('var(--font)', 'sans-serif');
    const markup = [...svg.children].map((child) => new XMLSerializer().serializeToString(child)).join('');
    return { markup, css, width, height };
  } finally {
    element.remove();
  }
}

/** Small-signal responses over one grid. Styles are inline, since the schematic's apply to the whole picture. */
function plotOf(state: BenchState, builds: readonly (readonly ['a' | 'b', Build])[], top: number): string {
  const curves = builds.map(([slot, build]) => {
    const network = networkWithin(build, kelvinOf(state.temperatureC), surroundings(state, slot));
    const response = new FrequencyResponse(network);
    return [slot, PLOT_HZ.map((hz) => response.at(hz, network.output).decibels)] as const;
  });
  const all = curves.flatMap(([, values]) => values).filter(Number.isFinite);
  const highest = Math.ceil(Math.max(...all) / 10) * 10;
  const lowest = Math.max(Math.floor(Math.min(...all) / 10) * 10, highest - 60);
  const x = (hz: number) => PLOT_LEFT + ((WIDTH - MARGIN - PLOT_LEFT) * Math.log10(hz / 20)) / 3;
  const y = (decibels: number) =>
    top + (PLOT_HEIGHT * (highest - Math.max(decibels, lowest))) / (highest - lowest);
  const label = (text: string, atX: number, atY: number, anchor: string) =>
    `<text x="${atX}" y="${atY}" text-anchor="${anchor}" style="font: 16px sans-serif; fill: ${INK['--ink-soft']}">${text}</text>`;
  const line = (x1: number, y1: number, x2: number, y2: number) =>
    `<path d="M${x1} ${y1}L${x2} ${y2}" style="stroke: ${INK['--line']}; stroke-width: 1; fill: none"/>`;
  const levels = Array.from({ length: (highest - lowest) / 10 + 1 }, (_, index) => lowest + 10 * index);
  return [
    ...GRID_HZ.map(
      (hz) =>
        line(x(hz), top, x(hz), top + PLOT_HEIGHT) +
        label(hz < 1000 ? `${hz}` : `${hz / 1000}k`, x(hz), top + PLOT_HEIGHT + 22, 'middle'),
    ),
    ...levels.map(
      (level) =>
        line(x(20), y(level), x(20_000), y(level)) + label(`${level}`, PLOT_LEFT - 10, y(level) + 5, 'end'),
    ),
    label('Response, dB over Hz', PLOT_LEFT, top + PLOT_HEIGHT + 46, 'start'),
    ...curves.map(
      ([slot, values]) =>
        `<polyline fill="none" stroke-width="3" stroke="${BUILD_INK[slot]}" ${slot === 'b' ? 'stroke-dasharray="10 6"' : ''} points="${values.map((value, index) => `${x(PLOT_HZ[index]!).toFixed(1)},${y(value).toFixed(1)}`).join(' ')}"/>`,
    ),
  ].join('');
}

async function rasterised(svg: string, width: number, height: number): Promise<Blob> {
  const image = new Image(width, height);
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(wellFormed(svg))}`;
  await image.decode();
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  canvas.getContext('2d')?.drawImage(image, 0, 0);
  return new Promise((resolve, reject) => {
    canvas.toBlob(
      (blob) => (blob ? resolve(blob) : reject(new Error('The picture could not be drawn.'))),
      'image/png',
    );
  });
}
