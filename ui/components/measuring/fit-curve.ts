import { svg } from 'lit';
import type { FitPlot } from '../../measuring/fit-plot.ts';

const [WIDTH, HEIGHT] = [260, 150];

/** What was measured as points on the curve of the model; the type's usual part dashed. */
export function fitCurve({ title, x, y, points, fit, typical }: FitPlot) {
  const place = ([across, up]: readonly [number, number]) =>
    `${((WIDTH * (across - x.from)) / (x.to - x.from)).toFixed(1)},${(HEIGHT * (1 - (up - y.from) / (y.to - y.from))).toFixed(1)}`;
  const line = (curve: FitPlot['fit']) => curve.map(place).join(' ');
  const dot = (point: readonly [number, number]) => {
    const [cx, cy] = place(point).split(',');
    return svg`<circle cx=${cx!} cy=${cy!} r="4" />`;
  };
  return svg`<svg class="fit" viewBox="-62 -10 336 186" role="img" aria-label=${title}>
    <path class="frame" d="M0 0V${HEIGHT}H${WIDTH}" />
    ${typical.length > 0 ? svg`<polyline class="typical" points=${line(typical)} />` : ''}
    <polyline class="model" points=${line(fit)} />
    ${points.map(dot)}
    <text x="-4" y="6" text-anchor="end">${y.toText}</text>
    <text x="-4" y=${HEIGHT} text-anchor="end">${y.fromText}</text>
    <text x="0" y="166">${x.fromText}</text>
    <text x=${WIDTH} y="166" text-anchor="end">${x.toText}</text>
    <text x=${WIDTH / 2} y="166" text-anchor="middle">${x.title}</text>
    <text transform="translate(-8 ${HEIGHT / 2 + 6}) rotate(-90)" text-anchor="middle">${y.title}</text>
  </svg>`;
}
