/** A plot as plain data, independent of how it is drawn. */

export interface AxisView {
  /** Quantity and unit, such as "Gain, dB". */
  readonly label: string;
  readonly isLogarithmic?: boolean;
  readonly range: readonly [low: number, high: number];
  /** Ticks of the axis; round numbers by default. */
  readonly ticks?: readonly number[];
  readonly tickText?: (value: number) => string;
}

/** Roles of colours; A and B also differ by dashes. */
export type Ink = 'a' | 'b' | 'plain' | 'soft';

export interface SeriesView {
  readonly name: string;
  readonly ink: Ink;
  /** Lines: width in pixels. Bars: on which side of their place. */
  readonly width?: number;
  readonly bars?: 'left' | 'right';
  readonly isDotted?: boolean;
  /** Belongs to the second axis, on the right. */
  readonly isOnRight?: boolean;
  /** Has no numbers now, and so no place in key and table. */
  readonly isAbsent?: boolean;
}

/** An area between two series, by their places among the series. */
export interface BandView {
  readonly low: number;
  readonly high: number;
  readonly ink: Ink;
  /** How much of the ink, 0 to 1. */
  readonly share: number;
}

/** An area over the whole height, between two places of the x axis. */
export interface SpanView {
  readonly from: number;
  readonly to: number;
  readonly ink: Ink;
  /** How much of the ink, 0 to 1. */
  readonly share: number;
}

/** A short level line across one place of the x axis, such as the limit that a bar may reach. */
export interface LimitMark {
  readonly x: number;
  readonly y: number;
  readonly ink: Ink;
}

/** Neighbouring places of the x axis that belong together, under a title. */
export interface PlaceGroup {
  readonly title: string;
  readonly first: number;
  readonly last: number;
}

/** A column of numbers; null where there is none. */
export type Column = readonly (number | null)[];

export interface PlotView {
  /** Plots of one shape differ in numbers only, and are only updated. */
  readonly shape: string;
  readonly title: string;
  /** Text alternative of the plot. */
  readonly summary: string;
  /** Text below the plot while nothing is pointed at. */
  readonly hint: string;
  readonly x: AxisView;
  readonly y: AxisView;
  readonly right?: AxisView;
  readonly series: readonly SeriesView[];
  /** The x column, then one for each series. */
  readonly data: readonly Column[];
  readonly marks?: readonly LimitMark[];
  readonly groups?: readonly PlaceGroup[];
  readonly bands?: readonly BandView[];
  readonly spans?: readonly SpanView[];
  /** Additional columns of the table. */
  readonly more?: readonly { readonly name: string; readonly column: Column }[];
  /** Text below the plot for the pointed place, by its index in the columns. */
  readonly readout: (index: number) => string;
  /** Heading of the x column in a table, and names instead of its numbers. */
  readonly rowHeading: string;
  readonly rowNames?: readonly string[];
}

export interface PlotKey {
  readonly ink: Ink;
  readonly text: string;
}

/** One key for each ink, by the first word of what is drawn in it. */
export function keysOf(series: readonly SeriesView[]): readonly PlotKey[] {
  const keys = new Map<Ink, string>();
  for (const { ink, name, isAbsent } of series) {
    const text = name.replace(/,.*$/, '').replace(/ (rising|falling)$/, '');
    if (!isAbsent && !keys.has(ink)) keys.set(ink, text);
  }
  return [...keys].map(([ink, text]) => ({ ink, text }));
}

/** A plot's numbers as CSV (RFC 4180), one row for each place on the x axis. */
export function csvOf({ data, series, more = [], rowHeading, rowNames }: PlotView): string {
  const [x = [], ...drawn] = data;
  const present = series.flatMap(({ name, isAbsent }, index) =>
    isAbsent ? [] : [{ name, column: drawn[index] ?? [] }],
  );
  const columns = [...present, ...more].map(({ column }) => column);
  const header = [rowHeading, ...[...present, ...more].map(({ name }) => name)];
  const rows = x.map((value, row) => [
    rowNames?.[row] ?? number(value),
    ...columns.map((column) => number(column[row] ?? null)),
  ]);
  return [header, ...rows].map((cells) => `${cells.map(cell).join(',')}\r\n`).join('');
}

function number(value: number | null): string {
  return value === null ? '' : `${Number(value.toPrecision(7))}`;
}

function cell(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** "1.2 V", "−176 mV", "34 µV". */
export function voltsText(volts: number): string {
  const size = Math.abs(volts);
  if (size < 5e-8) return '0 V';
  const [scale, unit, digits] =
    size >= 0.9995 ? [1, 'V', 3] : size >= 0.9995e-3 ? [1e3, 'mV', 3] : [1e6, 'µV', 2];
  return `${volts < 0 ? '−' : ''}${Number((scale * size).toPrecision(digits))} ${unit}`;
}

/** "82 Hz", "1.5 kHz". */
export function hertzText(hz: number): string {
  return hz >= 1000 ? `${Number((hz / 1000).toPrecision(3))} kHz` : `${Number(hz.toPrecision(3))} Hz`;
}

/** Symmetrical range around zero for a peak: 1, 2 or 5 times a power of ten. */
export function roundPeak(peak: number): number {
  if (!(peak > 0)) return 1;
  const decade = 10 ** Math.floor(Math.log10(peak));
  return decade * ([1, 2, 5, 10].find((step) => step * decade >= peak * 1.02) ?? 20);
}
