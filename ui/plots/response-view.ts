import { standInResponseDb } from '../../engine/audio/speaker-stand-in.ts';
import type { Known } from './known.ts';
import { RESPONSE_HZ } from './plot-analysis.ts';
import { type AxisView, type Column, hertzText, type PlotView, type SeriesView } from './plot-view.ts';
import { spreadBands } from './spread-bands.ts';

/** Bottom of the plot, dB. */
const FLOOR_DB = -120;
/** Smallest range of the difference, dB. */
const LEAST_DIFFERENCE_DB = 6;
const TICKS_HZ = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];
/** The speaker filter hardly depends on the rate; this is a common one. */
const STAND_IN_RATE_HZ = 48_000;

const OWN_SERIES: readonly SeriesView[] = [
  { name: 'A, dB', ink: 'a' },
  { name: 'B, dB', ink: 'b' },
  { name: 'B − A, dB', ink: 'plain', isDotted: true, width: 1, isOnRight: true },
];

/** Small-signal gain from the input or the strings to the probe, and how B differs from A. */
export function responseView({ response, spread, place, from }: Known): PlotView {
  const a = columnOf(response.a);
  const b = columnOf(response.b);
  const difference = a.map((value, index) => minus(b[index] ?? null, value));
  const bands = spreadBands(spread, RESPONSE_HZ, OWN_SERIES.length);
  const levels = [...a, ...b, ...bands.columns.flat()].flatMap((value) => value ?? []);
  const widest = Math.max(LEAST_DIFFERENCE_DB, ...difference.map((value) => Math.abs(value ?? 0)));
  const span = 6 * Math.ceil(widest / 6);
  return {
    shape: `response ${bands.series.map(({ name }) => name).join()}`,
    title: 'Response, small signal',
    summary: `Response at ${place}. A: ${spoken(a)}. B: ${spoken(b)}.`,
    hint: `Gain from ${from} to ${place}.${bands.bands.length > 0 ? ' Bands: the middle 95 % and half of builds with other parts.' : ''}`,
    x: {
      label: 'Frequency, Hz',
      isLogarithmic: true,
      range: [20, 20_000],
      ticks: TICKS_HZ,
      tickText: shortHertz,
    },
    y: gainAxis(6 * Math.floor((least(levels) - 1) / 6), 6 * Math.ceil((most(levels) + 1) / 6)),
    right: { label: 'B − A, dB', range: [-span, span], ticks: [-span, -span / 2, 0, span / 2, span] },
    series: [...OWN_SERIES, ...bands.series],
    bands: bands.bands,
    data: [RESPONSE_HZ, a, b, difference, ...bands.columns],
    rowHeading: 'Frequency, Hz',
    readout: (index) => {
      const hz = RESPONSE_HZ[index] ?? 0;
      const standIn = standInResponseDb(hz, STAND_IN_RATE_HZ);
      return `${hertzText(hz)}: A ${decibels(a[index])}, B ${decibels(b[index])}, B − A ${decibels(difference[index])} (speaker filter ${decibels(standIn)})`;
    },
  };
}

/** Three to five marks at multiples of 6 dB, or of 3 dB in the narrowest range, however low the plot is drawn. */
function gainAxis(low: number, high: number): AxisView {
  const step = high - low <= 12 ? 3 : 6 * Math.max(1, Math.ceil((high - low) / 24));
  const first = step * Math.ceil(low / step);
  const ticks = Array.from(
    { length: Math.floor((high - first) / step) + 1 },
    (_, index) => first + step * index,
  );
  return { label: 'Gain, dB', range: [low, high], ticks };
}

function columnOf(decibelsAt: readonly number[] | undefined): Column {
  return RESPONSE_HZ.map((_, index) => {
    const value = decibelsAt?.[index];
    return value === undefined ? null : Math.max(FLOOR_DB, value);
  });
}

function minus(value: number | null, other: number | null): number | null {
  return value === null || other === null ? null : value - other;
}

function least(values: readonly number[]): number {
  return values.length > 0 ? Math.min(...values) : -12;
}

function most(values: readonly number[]): number {
  return values.length > 0 ? Math.max(...values) : 12;
}

function spoken(column: Column): string {
  return [100, 1000, 5000]
    .map((hz) => `${decibels(column[RESPONSE_HZ.findIndex((each) => each >= hz)])} at ${hz} Hz`)
    .join(', ');
}

function decibels(value: number | null | undefined): string {
  return value === null || value === undefined ? 'unknown' : `${value.toFixed(1)} dB`;
}

function shortHertz(hz: number): string {
  return hz >= 1000 ? `${hz / 1000}k` : `${hz}`;
}
