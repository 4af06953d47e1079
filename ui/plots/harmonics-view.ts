import type { Harmonics } from '../../engine/analysis/harmonics.ts';
import type { Known } from './known.ts';
import { type Column, hertzText, type PlotView, voltsText } from './plot-view.ts';

/** Bottom of the bars, dB. */
const FLOOR_DB = -100;
const ORDERS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10];

/** Harmonics of a steady sine at the probe, relative to the fundamental, up to the tenth. */
export function harmonicsView({ sine, place, hz, peakV }: Known): PlotView {
  const a = columnOf(sine.a?.harmonics);
  const b = columnOf(sine.b?.harmonics);
  const total = `THD: A ${percent(sine.a?.harmonics)}, B ${percent(sine.b?.harmonics)}`;
  return {
    shape: 'harmonics',
    title: `Harmonics, ${voltsText(peakV)} peak at ${hertzText(hz)}`,
    summary: `Harmonics at ${place}. ${total}. A: ${spoken(a)}. B: ${spoken(b)}.`,
    hint: `${total}, relative to the fundamental, of the harmonics to the tenth below 20 kHz.`,
    x: { label: 'Harmonic', range: [0.4, 10.6], ticks: ORDERS },
    y: { label: 'dB of the fundamental', range: [FLOOR_DB, 0] },
    series: [
      { name: 'A, dB', ink: 'a', bars: 'left' },
      { name: 'B, dB', ink: 'b', bars: 'right' },
    ],
    data: [ORDERS, a.map(drawn), b.map(drawn)],
    rowHeading: 'Harmonic',
    readout: (index) =>
      `H${ORDERS[index]}, ${hertzText(hz * ORDERS[index]!)}: A ${decibels(a[index])}, B ${decibels(b[index])}`,
  };
}

function columnOf(harmonics: Harmonics | undefined): Column {
  return ORDERS.map((order) => {
    if (!harmonics || !(harmonics.fundamentalV > 0)) return null;
    return order === 1 ? 0 : (harmonics.relativeDb[order - 2] ?? null);
  });
}

function drawn(decibelsValue: number | null): number | null {
  return decibelsValue === null || decibelsValue < FLOOR_DB ? null : decibelsValue;
}

function percent(harmonics: Harmonics | undefined): string {
  return harmonics ? `${(100 * harmonics.distortionOfFundamental).toPrecision(3)} %` : 'unknown';
}

function spoken(column: Column): string {
  return [2, 3, 4, 5].map((order) => `H${order} ${decibels(column[order - 1])}`).join(', ');
}

function decibels(value: number | null | undefined): string {
  if (value === null || value === undefined) return 'none';
  return value < -150 ? 'none' : `${value.toFixed(1)} dB`;
}
