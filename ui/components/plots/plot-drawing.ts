import uPlot from 'uplot';
import type { AxisView, Ink, PlotView, SeriesView } from '../../plots/plot-view.ts';

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

/**
 * Options of uPlot for every view of one shape; ranges are asked for at each drawing.
 *
 * @param current The view at the time of drawing.
 */
export function plotOptions(
  current: () => PlotView,
  ink: PlotInk,
  size: { readonly width: number; readonly height: number },
): uPlot.Options {
  const { x, y, right, series } = current();
  const scale = (axis: AxisView, range: () => readonly [number, number]): uPlot.Scale => ({
    time: false,
    distr: axis.isLogarithmic ? 3 : 1,
    range: () => [...range()] as [number, number],
  });
  return {
    ...size,
    legend: { show: false },
    padding: [8, right ? 0 : 10, 0, 0],
    cursor: { drag: { x: false, y: false }, points: { size: 6 } },
    scales: {
      x: scale(x, () => current().x.range),
      y: scale(y, () => current().y.range),
      ...(right ? { right: scale(right, () => current().right?.range ?? [-1, 1]) } : {}),
    },
    axes: [
      axisOptions(() => current().x, 'x', ink),
      axisOptions(() => current().y, 'y', ink),
      ...(right
        ? [
            {
              ...axisOptions(() => current().right ?? right, 'right', ink),
              side: 1 as const,
              grid: { show: false },
            },
          ]
        : []),
    ],
    series: [{}, ...series.map((each) => seriesOptions(each, ink))],
    hooks: { draw: [(plot) => drawMarks(plot, current(), ink)] },
  };
}

function axisOptions(current: () => AxisView, scale: string, ink: PlotInk): uPlot.Axis {
  const { ticks, tickText, label } = current();
  const lines = Math.max(1, ...(ticks ?? []).map((value) => tickText?.(value).split('\n').length ?? 1));
  return {
    scale,
    label,
    labelSize: FONT_PX + 5,
    labelGap: 0,
    labelFont: `${FONT_PX}px ${ink.font}`,
    font: `${FONT_PX}px ${ink.font}`,
    stroke: ink.soft,
    grid: { stroke: ink.line, width: 1 },
    ticks: { stroke: ink.line, width: 1, size: 4 },
    gap: 3,
    lineGap: LINE_HEIGHT,
    size: scale === 'x' ? FONT_PX + 10 + (lines - 1) * FONT_PX * LINE_HEIGHT : tickText ? 50 : 40,
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
): uPlot.Series {
  const common: uPlot.Series = {
    label: name,
    stroke: ink[role],
    width,
    points: { show: false },
    scale: isOnRight ? 'right' : 'y',
  };
  if (!bars) return { ...common, dash: isDotted ? [1, 3] : DASH[role] };
  const { bars: barPaths } = uPlot.paths;
  return {
    ...common,
    width: 1,
    // A is filled and B hatched by transparency and its letter's dash, so that the two differ without colour too.
    fill: role === 'b' ? `${ink.b}55` : ink[role],
    dash: DASH[role],
    ...(barPaths ? { paths: barPaths({ size: [0.34, 36], align: bars === 'left' ? -1 : 1 }) } : {}),
    ...({ fillTo: (plot: uPlot) => plot.scales['y']?.min ?? 0 } as Partial<uPlot.Series>),
  };
}

/** Level lines beside their places: A's to the left, B's to the right, each with a foot at its ends. */
function drawMarks(plot: uPlot, { marks }: PlotView, ink: PlotInk): void {
  if (!marks) return;
  const { ctx } = plot;
  const scale = devicePixelRatio;
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

/** The plot on paper with its title and the key to its lines. */
export function pictureOf(
  plot: uPlot,
  { title, series }: PlotView,
  ink: PlotInk & { readonly sheet: string },
): HTMLCanvasElement {
  const scale = devicePixelRatio;
  const source = plot.ctx.canvas;
  const header = 28 * scale;
  const canvas = document.createElement('canvas');
  canvas.width = source.width;
  canvas.height = source.height + header;
  const context = canvas.getContext('2d');
  if (!context) return canvas;
  context.fillStyle = ink.sheet;
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.font = `${13 * scale}px ${ink.font}`;
  context.textBaseline = 'middle';
  context.fillStyle = ink.plain;
  context.fillText(title, 8 * scale, header / 2);
  context.textAlign = 'right';
  const key = series.filter(({ ink: role }) => role === 'a' || role === 'b').reverse();
  let right = canvas.width - 8 * scale;
  for (const { name, ink: role } of key) {
    context.fillStyle = ink[role];
    context.fillText(name, right, header / 2);
    right -= context.measureText(`${name}  `).width;
  }
  context.drawImage(source, 0, header);
  return canvas;
}
