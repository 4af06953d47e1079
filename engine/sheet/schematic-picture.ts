import { refText } from '../builds/alias.ts';
import type { Build, PartSetting } from '../builds/build.ts';
import { settingText, withoutPiece } from '../builds/part-setting.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { drawnLabel } from '../drawing/drawn-label.ts';
import { partSymbol } from '../drawing/part-symbol.ts';
import type { PlacedPart } from '../drawing/placed-part.ts';
import { type PlacedStage, type Sheet, sheetOf } from '../drawing/sheet.ts';
import { flagLines, wirePath } from '../drawing/sheet-lines.ts';
import { circuitDrawing, type Flag, type StageDrawing } from '../drawing/stage-drawing.ts';
import type { RoutedNet } from '../drawing/wire-router.ts';
import { escaped } from '../wiring/picture.ts';

/** Room for the schematic on the first page below title and facts, and the largest grid step, mm. */
const ROOM: Room = { width: 182, height: 190 };
/** On a page that is turned. */
const TURNED_ROOM: Room = { width: 269, height: 160 };
const LARGEST_STEP = 2.6;
/** Letters below this are too small to read on paper, mm; 6 pt are 2.1 mm, common practice, no source. */
const SMALLEST_LETTER = 2.05;
/** Of the name of a net, grid steps; see the styles of the sheet. */
const FLAG_LETTER = 0.95;
/** Widths of the sheet that are tried, grid steps. */
const WIDTHS = Array.from({ length: 15 }, (_, index) => 60 + 6 * index);

interface Room {
  readonly width: number;
  readonly height: number;
}

/** A drawing for one page, and whether that is turned. */
interface SchematicPicture {
  readonly svg: string;
  readonly isTurned: boolean;
}

/**
 * The schematic of a build for paper: one SVG where its letters can be read, else several with as many stages each as that
 * allows. A stage that is too wide by itself has a page that is turned.
 */
export function schematicPictures(build: Build): readonly SchematicPicture[] {
  const pictures: StageDrawing[][] = [];
  for (const drawing of circuitDrawing(fittedCircuit(build))) {
    const last = pictures.at(-1);
    if (last && isReadable(build, largest([...last, drawing], ROOM), ROOM)) last.push(drawing);
    else pictures.push([drawing]);
  }
  return pictures.map((drawings) => {
    const [upright, turned] = [largest(drawings, ROOM), largest(drawings, TURNED_ROOM)];
    const isTurned = !isReadable(build, upright, ROOM) && stepOf(turned, TURNED_ROOM) > stepOf(upright, ROOM);
    const svg = isTurned ? pictureOf(build, turned, TURNED_ROOM) : pictureOf(build, upright, ROOM);
    return { svg, isTurned };
  });
}

function isReadable(build: Build, sheet: Sheet, room: Room): boolean {
  const labels = sheet.stages.flatMap(({ drawing }) =>
    drawing.parts.flatMap((part) => labelsOf(build, part)),
  );
  const smallest = Math.min(FLAG_LETTER, ...labels.map(({ size }) => size));
  return stepOf(sheet, room) * smallest >= SMALLEST_LETTER;
}

function largest(drawings: readonly StageDrawing[], room: Room): Sheet {
  const sheets = WIDTHS.map((width) => sheetOf(drawings, width));
  return sheets.reduce((best, sheet) => (stepOf(sheet, room) > stepOf(best, room) ? sheet : best));
}

/** Grid step with which a sheet fits the page, mm. */
function stepOf({ width, height }: Sheet, room: Room): number {
  return Math.min(LARGEST_STEP, room.width / width, room.height / height);
}

function pictureOf(build: Build, sheet: Sheet, room: Room): string {
  const step = stepOf(sheet, room);
  const [width, height] = [sheet.width, sheet.height].map((steps) => `${(steps * step).toFixed(1)}mm`);
  const elements = [
    ...sheet.links.map(({ from, to }) => lines({ segments: [[from, to]], junctions: [] })),
    ...sheet.stages.map((stage) => stageElements(build, stage)),
    ...sheet.flags.map(flag),
  ];
  return `<svg class="schematic" viewBox="0 0 ${sheet.width} ${sheet.height}" style="width:${width};height:${height}" role="img" aria-label="Schematic">${elements.join('\n')}</svg>`;
}

function stageElements(build: Build, { drawing, offset, heading }: PlacedStage): string {
  const elements = [
    ...drawing.wires.map(lines),
    ...drawing.flags.map(flag),
    ...drawing.parts.map((part) => partElements(build, part)),
  ];
  return `<text class="heading" x="${heading[0]}" y="${heading[1]}">${escaped(drawing.title)}</text>
<g transform="translate(${offset[0]} ${offset[1]})">${elements.join('\n')}</g>`;
}

function lines(net: Pick<RoutedNet, 'segments' | 'junctions'>): string {
  const dots = net.junctions.map(([x, y]) => `<circle class="junction" cx="${x}" cy="${y}" r="0.26"/>`);
  return `<path d="${wirePath(net)}"/>${dots.join('')}`;
}

function flag(of: Flag): string {
  const { path, name } = flagLines(of);
  if (!name) return `<path d="${path}"/>`;
  const [x, y] = name.at;
  return `<path d="${path}"/><text class="flag" x="${x}" y="${y}" text-anchor="${name.anchor}">${escaped(of.net)}</text>`;
}

function partElements(build: Build, part: PlacedPart): string {
  const { ref, spec } = part;
  const [x, y] = spec.at;
  const knob = build.circuit.knobs.find((each) => each.ref === ref);
  const setting = settingOf(build, part);
  const position = spec.kind === 'switch' ? positionOf(build, ref) : undefined;
  const symbol = partSymbol(spec, setting, position, knob && build.knobs[knob.name]);
  const texts = labelsOf(build, part).map(
    ({ what, at, anchor, size, written }) =>
      `<text class="${what}" x="${at[0]}" y="${at[1]}" text-anchor="${anchor}" font-size="${size.toFixed(3)}">${escaped(written)}</text>`,
  );
  return `<g transform="translate(${x} ${y}) rotate(${spec.turn ?? 0}) scale(1 ${spec.flip ? -1 : 1})">${symbol}</g>${texts.join('')}`;
}

/** Name and value of a part, with the size of their letters in grid steps. */
function labelsOf(build: Build, { ref, spec, labels }: PlacedPart) {
  const control = controlOf(build, ref);
  const setting = settingOf(build, { ref, spec });
  const position = spec.kind === 'switch' ? positionOf(build, ref) : undefined;
  const whole = position ?? (spec.kind === 'switch' ? '' : settingText(withoutPiece(setting)));
  const value = spec.kind === 'pot' && setting.fit === undefined ? (setting.value ?? '') : whole;
  const name = [refText(build, ref), ...(control ? [control.name] : [])].join(' ');
  return labels.map((spot) => ({ ...spot, ...drawnLabel(spot, spot.what === 'ref' ? name : value, '') }));
}

function controlOf({ circuit: { knobs, switches } }: Build, ref: string) {
  return knobs.find((each) => each.ref === ref) ?? switches.find((each) => each.ref === ref);
}

function settingOf({ parts }: Build, { ref, spec }: Pick<PlacedPart, 'ref' | 'spec'>): PartSetting {
  return parts[spec.kind === 'opamp' ? spec.package : ref] ?? {};
}

/** The footswitch is drawn with the effect on. */
function positionOf({ circuit, switches }: Build, ref: string): string | undefined {
  if (circuit.bypass.footswitch?.includes(ref)) return 'on';
  const control = circuit.switches.find((each) => each.ref === ref);
  return control && switches[control.name];
}
