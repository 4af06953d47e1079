import { refText } from '../builds/alias.ts';
import type { Build } from '../builds/build.ts';
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
const ROOM = { width: 182, height: 190 };
const LARGEST_STEP = 2.6;
/** Below this letters are too small to read on paper: the stages are then drawn one by one, mm. */
const SMALLEST_STEP = 1.3;
/** Widths of the sheet that are tried, grid steps. */
const WIDTHS = Array.from({ length: 15 }, (_, index) => 60 + 6 * index);

/** The schematic of a build for paper: one SVG where that can be read, else one a stage. */
export function schematicPictures(build: Build): readonly string[] {
  const drawings = circuitDrawing(fittedCircuit(build));
  const whole = largest(drawings);
  if (stepOf(whole) >= SMALLEST_STEP || drawings.length === 1) return [pictureOf(build, whole)];
  return drawings.map((drawing) => pictureOf(build, largest([drawing])));
}

function largest(drawings: readonly StageDrawing[]): Sheet {
  const sheets = WIDTHS.map((width) => sheetOf(drawings, width));
  return sheets.reduce((best, sheet) => (stepOf(sheet) > stepOf(best) ? sheet : best));
}

/** Grid step with which a sheet fits the page, mm. */
function stepOf({ width, height }: Sheet): number {
  return Math.min(LARGEST_STEP, ROOM.width / width, ROOM.height / height);
}

function pictureOf(build: Build, sheet: Sheet): string {
  const step = stepOf(sheet);
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

function partElements(build: Build, { ref, spec, labels }: PlacedPart): string {
  const [x, y] = spec.at;
  const { knobs, switches } = build.circuit;
  const knob = knobs.find((each) => each.ref === ref);
  const control = knob ?? switches.find((each) => each.ref === ref);
  const setting = build.parts[spec.kind === 'opamp' ? spec.package : ref] ?? {};
  const position = spec.kind === 'switch' ? positionOf(build, ref) : undefined;
  const symbol = partSymbol(spec, setting, position, knob && build.knobs[knob.name]);
  const whole = position ?? (spec.kind === 'switch' ? '' : settingText(withoutPiece(setting)));
  const value = spec.kind === 'pot' && setting.fit === undefined ? (setting.value ?? '') : whole;
  const name = [refText(build, ref), ...(control ? [control.name] : [])].join(' ');
  const texts = labels.map((spot) => {
    const { written, size } = drawnLabel(spot, spot.what === 'ref' ? name : value, '');
    return `<text class="${spot.what}" x="${spot.at[0]}" y="${spot.at[1]}" text-anchor="${spot.anchor}" font-size="${size.toFixed(3)}">${escaped(written)}</text>`;
  });
  return `<g transform="translate(${x} ${y}) rotate(${spec.turn ?? 0}) scale(1 ${spec.flip ? -1 : 1})">${symbol}</g>${texts.join('')}`;
}

/** The footswitch is drawn with the effect on. */
function positionOf({ circuit, switches }: Build, ref: string): string | undefined {
  if (circuit.bypass.footswitch?.includes(ref)) return 'on';
  const control = circuit.switches.find((each) => each.ref === ref);
  return control && switches[control.name];
}
