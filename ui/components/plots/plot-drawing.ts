import uPlot from 'uplot';
import {
  type AxisView,
  type BandView,
  type Ink,
  keysOf,
  type PlotView,
  type SeriesView,
} from '../../plots/plot-view.ts';

/** Colours and typeface of a plot, as the page has them now. */
export interface PlotInk {
  readonly a: string;
  readonly b: string;
  readonly plain: string;
  readonly soft: string;
  readonly line: string;
  readonly font: string;
}

const FONT_PX = 11;
/** Font size of the ticks. */
const LINE_HEIGHT = 1.5;
const DASH: Readonly<Record<Ink, number[]>> = { a: [], b: [7, 4], plain: [], soft: [] };

export function readInk(element: Element): PlotInk {
  const style = getComputedStyle(element);
  const of = (name: string) => style.getPropertyValue(name).trim();
  return {
    a: of('--a'),
    b: of('--b'),
    plain: of('--ink'),
    soft: of('--ink-soft'),
    line: of('--line'),
    font: of('--font'),
  };
}

/** Width and height of a plot in CSS pixels, and how much larger all in it is drawn. */
export interface PlotSize {
  readonly width: number;
  readonly height: number;
  readonly zoom?: number;
}

/**
 * Options of uPlot for every view of one shape; ranges are asked for at each drawing.
 *
 * @param current The view at the time of drawing.
 */
export function plotOptions(
  current: () => PlotView,
  ink: PlotInk,
  { width, height, zoom = 1 }: PlotSize,
): uPlot.Options {
  const { x, y, right, series, bands } = current();
  const scale = (axis: AxisView, range: () => readonly [number, number]): uPlot.Scale => ({
    time: false,
    distr: axis.isLogarithmic ? 3 : 1,
    range: () => [...range()] as [number, number],
  });
  return {
    width,
    height,
    legend: { show: false },
    padding: [8 * zoom, right ? 0 : 10 * zoom, 0, 0],
    cursor: { drag: { x: false, y: false }, points: { size: 6 } },
    scales: {
      x: scale(x, () => current().x.range),
      y: scale(y, () => current().y.range),
      ...(right ? { right: scale(right, () => current().right?.range ?? [-1, 1]) } : {}),
    },
    axes: [
      axisOptions(() => current().x, 'x', ink, zoom),
      axisOptions(() => current().y, 'y', ink, zoom),
      ...(right
        ? [
            {
              ...axisOptions(() => current().right ?? right, 'right', ink, zoom),
              side: 1 as const,
              grid: { show: false },
            },
          ]
        : []),
    ],
    series: [{}, ...series.map((each) => seriesOptions(each, ink, zoom))],
    ...(bands && { bands: bands.map((each) => bandOptions(each, ink)) }),
    hooks: {
      drawClear: [(plot) => drawSpans(plot, current(), ink)],
      draw: [
        (plot) => {
          drawMarks(plot, current(), ink, zoom);
          drawGroups(plot, current(), ink, zoom);
        },
      ],
    },
  };
}

function axisOptions(current: () => AxisView, scale: string, ink: PlotInk, zoom: number): uPlot.Axis {
  const fontPx = FONT_PX * zoom;
  const { ticks, tickText, label } = current();
  const lines = Math.max(1, ...(ticks ?? []).map((value) => tickText?.(value).split('\n').length ?? 1));
  return {
    scale,
    label,
    labelSize: fontPx + 5 * zoom,
    labelGap: 0,
    labelFont: `${fontPx}px ${ink.font}`,
    font: `${fontPx}px ${ink.font}`,
    stroke: ink.soft,
    space: (scale === 'x' ? 50 : 30) * zoom,
    grid: { stroke: ink.line, width: zoom },
    ticks: { stroke: ink.line, width: zoom, size: 4 * zoom },
    gap: 3 * zoom,
    lineGap: LINE_HEIGHT,
    size:
      scale === 'x' ? fontPx + 10 * zoom + (lines - 1) * fontPx * LINE_HEIGHT : (tickText ? 50 : 40) * zoom,
    ...(ticks
      ? { splits: () => [...(current().ticks ?? ticks)], filter: (_: uPlot, splits: number[]) => splits }
      : {}),
    ...(tickText
      ? {
          values: (_: uPlot, splits: number[]) =>
            splits.map((value: number | null) =>
              value === null ? '' : (current().tickText ?? tickText)(value),
            ),
        }
      : {}),
  };
}

function seriesOptions(
  { name, ink: role, width = 2, bars, isDotted, isOnRight }: SeriesView,
  ink: PlotInk,
  zoom: number,
): uPlot.Series {
  const common: uPlot.Series = {
    label: name,
    stroke: ink[role],
    width: width * zoom,
    points: { show: false },
    scale: isOnRight ? 'right' : 'y',
  };
  if (!bars) return { ...common, dash: dashOf(role, isDotted).map((length) => length * zoom) };
  const { bars: barPaths } = uPlot.paths;
  return {
    ...common,
    width: zoom,
    // A is filled and B hatched by transparency and its letter's dash, so that the two differ without colour too.
    fill: role === 'b' ? `${ink.b}55` : ink[role],
    dash: DASH[role].map((length) => length * zoom),
    ...(barPaths ? { paths: barPaths({ size: [0.34, 36 * zoom], align: bars === 'left' ? -1 : 1 }) } : {}),
    ...({ fillTo: (plot: uPlot) => plot.scales['y']?.min ?? 0 } as Partial<uPlot.Series>),
  };
}

/** The first series of uPlot is the x column. */
function bandOptions({ low, high, ink: role, share }: BandView, ink: PlotInk): uPlot.Band {
  return {
    series: [high + 1, low + 1],
    fill: `color-mix(in srgb, ${ink[role]} ${100 * share}%, transparent)`,
  };
}

function dashOf(role: Ink, isDotted = false): number[] {
  return isDotted ? [1, 3] : DASH[role];
}

/** Areas behind everything else, cut at the ends of the x axis. */
function drawSpans(plot: uPlot, { spans, x }: PlotView, ink: PlotInk): void {
  if (!spans) return;
  const { ctx, bbox } = plot;
  const [lowest, highest] = x.range;
  const at = (place: number) => plot.valToPos(Math.min(highest, Math.max(lowest, place)), 'x', true);
  ctx.save();
  for (const { from, to, ink: role, share } of spans) {
    ctx.globalAlpha = share;
    ctx.fillStyle = ink[role];
    ctx.fillRect(at(from), bbox.top, at(to) - at(from), bbox.height);
  }
  ctx.restore();
}

/** Level lines beside their places: A's to the left, B's to the right, each with a foot at its ends. */
function drawMarks(plot: uPlot, { marks }: PlotView, ink: PlotInk, zoom: number): void {
  if (!marks) return;
  const { ctx } = plot;
  const scale = zoom * devicePixelRatio;
  const half = Math.abs(plot.valToPos(0.36, 'x', true) - plot.valToPos(0, 'x', true));
  ctx.save();
  ctx.lineWidth = 2 * scale;
  ctx.setLineDash([]);
  for (const { x, y, ink: role } of marks) {
    const left = plot.valToPos(x, 'x', true) + (role === 'a' ? -half : 0);
    const top = plot.valToPos(y, 'y', true);
    ctx.strokeStyle = ink[role];
    ctx.beginPath();
    ctx.moveTo(left + scale, top + 4 * scale);
    ctx.lineTo(left + scale, top);
    ctx.lineTo(left + half - scale, top);
    ctx.lineTo(left + half - scale, top + 4 * scale);
    ctx.stroke();
  }
  ctx.restore();
}

/** A line before each group, and its title at the top, cut where the group ends. */
function drawGroups(plot: uPlot, { groups }: PlotView, ink: PlotInk, zoom: number): void {
  if (!groups) return;
  const { ctx, bbox } = plot;
  const scale = zoom * devicePixelRatio;
  ctx.save();
  ctx.lineWidth = scale;
  ctx.strokeStyle = ink.soft;
  ctx.fillStyle = ink.soft;
  ctx.font = `${FONT_PX * scale}px ${ink.font}`;
  ctx.textAlign = 'left';
  ctx.textBaseline = 'top';
  ctx.setLineDash([2 * scale, 3 * scale]);
  for (const { title, first, last } of groups) {
    const left = plot.valToPos(first - 0.5, 'x', true);
    const width = plot.valToPos(last + 0.5, 'x', true) - left - 6 * scale;
    ctx.beginPath();
    ctx.moveTo(left, bbox.top);
    ctx.lineTo(left, bbox.top + bbox.height);
    ctx.stroke();
    ctx.fillText(cutText(ctx, title, width), left + 4 * scale, bbox.top + 2 * scale);
  }
  ctx.restore();
}

function cutText(ctx: CanvasRenderingContext2D, text: string, width: number): string {
  if (ctx.measureText(text).width <= width) return text;
  let cut = text;
  while (cut !== '' && ctx.measureText(`${cut}…`).width > width) cut = cut.slice(0, -1);
  return `${cut.trimEnd()}…`;
}

/** Heights of the lines above a picture's plot, its margin, and the lines in its key, px of the screen. */
const TITLE_PX = 24;
const KEYS_PX = 20;
const PICTURE_MARGIN_PX = 8;
const KEY_LINE_PX = 24;
/** How much larger a picture is than the plot on the screen, so that it stays sharp in a document. */
const PICTURE_ZOOM = 2;

/** The plot on paper with its title and the key to its lines, drawn anew at twice its size. */
export async function pictureOf(
  view: PlotView,
  { width, height }: PlotSize,
  ink: PlotInk & { readonly sheet: string },
): Promise<HTMLCanvasElement> {
  const size = { width: PICTURE_ZOOM * width, height: PICTURE_ZOOM * height, zoom: PICTURE_ZOOM };
  const options = plotOptions(() => view, ink, size);
  const plot = await new Promise<uPlot>((drawn) => {
    const hooks = { ...options.hooks, draw: [...(options.hooks?.draw ?? []), drawn] };
    new uPlot({ ...options, hooks }, view.data as uPlot.AlignedData, document.createElement('div'));
  });
  const picture = onPaper(plot.ctx.canvas, view, ink);
  plot.destroy();
  return picture;
}

function onPaper(
  source: HTMLCanvasElement,
  { title, series }: PlotView,
  ink: PlotInk & { readonly sheet: string },
): HTMLCanvasElement {
  const scale = PICTURE_ZOOM * devicePixelRatio;
  const header = (TITLE_PX + KEYS_PX) * scale;
  const canvas = document.createElement('canvas');
  canvas.width = source.width;
  canvas.height = source.height + header;
  const context = canvas.getContext('2d');
  if (!context) return canvas;
  context.fillStyle = ink.sheet;
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(source, 0, header);
  context.scale(scale, scale);
  context.font = `13px ${ink.font}`;
  context.textBaseline = 'middle';
  context.fillStyle = ink.plain;
  context.fillText(title, PICTURE_MARGIN_PX, TITLE_PX / 2 + 2);
  drawKeys(context, series, ink);
  return canvas;
}

/** Below the title, one beside the other: a piece of each line, and what it is. */
function drawKeys(context: CanvasRenderingContext2D, series: readonly SeriesView[], ink: PlotInk): void {
  const middle = TITLE_PX + KEYS_PX / 2 - 2;
  let left = PICTURE_MARGIN_PX;
  context.font = `11px ${ink.font}`;
  for (const { ink: role, text } of keysOf(series)) {
    const { isDotted, width = 2 } = series.find((each) => each.ink === role)!;
    context.strokeStyle = ink[role];
    context.lineWidth = width;
    context.setLineDash(dashOf(role, isDotted));
    context.beginPath();
    context.moveTo(left, middle);
    context.lineTo(left + KEY_LINE_PX, middle);
    context.stroke();
    context.fillText(text, left + KEY_LINE_PX + 5, middle);
    left += KEY_LINE_PX + 5 + context.measureText(text).width + 14;
  }
}
