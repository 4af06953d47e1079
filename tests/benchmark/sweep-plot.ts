/** One curve of a plot: the points in their order. */
export interface Curve {
  readonly name: string;
  readonly points: readonly { readonly hz: number; readonly decibels: number }[];
}

const WIDTH = 960;
const HEIGHT = 540;
const LEFT = 60;
const RIGHT = 230;
const TOP = 30;
const BOTTOM = 50;
const DECIBEL_GRID = 20;
const FREQUENCIES_HZ = [500, 1000, 2000, 4000, 8000] as const;
const COLOURS = ['#0072b2', '#d55e00', '#009e73', '#cc79a7', '#56b4e9', '#e69f00'] as const;
const DASHES = ['', '6 3', '2 3'] as const;

/** Curves over a logarithmic frequency axis as an SVG file, decibels upwards, with a legend. */
export function sweepPlot(title: string, curves: readonly Curve[]): string {
  const all = curves.flatMap(({ points }) => points);
  const least = DECIBEL_GRID * Math.floor(Math.min(...all.map(({ decibels }) => decibels)) / DECIBEL_GRID);
  const most = DECIBEL_GRID * Math.ceil(Math.max(...all.map(({ decibels }) => decibels)) / DECIBEL_GRID);
  const [firstHz, lastHz] = [all, all].map((points, index) =>
    (index === 0 ? Math.min : Math.max)(...points.map(({ hz }) => hz)),
  ) as [number, number];
  const x = (hz: number) =>
    LEFT + ((WIDTH - LEFT - RIGHT) * Math.log(hz / firstHz)) / Math.log(lastHz / firstHz);
  const y = (decibels: number) => TOP + ((HEIGHT - TOP - BOTTOM) * (most - decibels)) / (most - least);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="12">`,
    `<title>${title}</title>`,
    `<rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>`,
    `<text x="${LEFT}" y="18" font-size="14">${title}</text>`,
    ...decibelGrid(least, most, y),
    ...frequencyGrid(firstHz, lastHz, x),
    ...curves.flatMap((curve, index) => drawCurve(curve, index, x, y)),
    '</svg>\n',
  ].join('\n');
}

function decibelGrid(least: number, most: number, y: (decibels: number) => number): string[] {
  const lines: string[] = [];
  for (let decibels = least; decibels <= most; decibels += DECIBEL_GRID) {
    const at = y(decibels).toFixed(1);
    lines.push(`<path d="M${LEFT} ${at}H${WIDTH - RIGHT}" stroke="#ddd"/>`);
    lines.push(`<text x="${LEFT - 6}" y="${at}" dy="4" text-anchor="end">${decibels} dB</text>`);
  }
  return lines;
}

function frequencyGrid(firstHz: number, lastHz: number, x: (hz: number) => number): string[] {
  return FREQUENCIES_HZ.filter((hz) => hz >= firstHz * 0.99 && hz <= lastHz * 1.01).flatMap((hz) => {
    const at = x(hz).toFixed(1);
    return [
      `<path d="M${at} ${TOP}V${HEIGHT - BOTTOM}" stroke="#ddd"/>`,
      `<text x="${at}" y="${HEIGHT - BOTTOM + 18}" text-anchor="middle">${hz} Hz</text>`,
    ];
  });
}

function drawCurve(
  { name, points }: Curve,
  index: number,
  x: (hz: number) => number,
  y: (decibels: number) => number,
): string[] {
  const colour = COLOURS[index % COLOURS.length]!;
  const dash = DASHES[Math.floor(index / COLOURS.length) % DASHES.length]!;
  const style = `fill="none" stroke="${colour}" stroke-width="1.5" stroke-dasharray="${dash}"`;
  const path = points.map(({ hz, decibels }) => `${x(hz).toFixed(1)} ${y(decibels).toFixed(1)}`).join('L');
  const [from, row] = [WIDTH - RIGHT + 16, TOP + 10 + 18 * index];
  return [
    `<path d="M${path}" ${style}/>`,
    `<path d="M${from} ${row}h28" ${style}/>`,
    `<text x="${from + 36}" y="${row + 4}">${name}</text>`,
  ];
}
