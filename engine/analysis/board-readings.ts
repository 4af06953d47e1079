import type { NodeName } from '../devices/node.ts';
import { type FaultTable, suspectsOf } from './build-faults.ts';
import { withoutMeter } from './meter-readings.ts';
import { bandRead, type VoltageReport } from './voltage-report.ts';

/** What was typed for the nets of a board, as it was typed: V, read with an adapter. */
export type TypedReadings = ReadonlyMap<NodeName, string>;

/** How a reading stands to what sound boards give, with a mark that needs no colour. */
export const READING_VERDICTS = {
  fits: { mark: '✓', word: 'fits' },
  low: { mark: '▼', word: 'too low' },
  high: { mark: '▲', word: 'too high' },
  unread: { mark: '?', word: 'no number' },
} as const;
export type ReadingVerdict = keyof typeof READING_VERDICTS;

/** A typed text as volts: a decimal comma is as good as a point. Undefined for one that is no number. */
export function voltsRead(text: string): number | undefined {
  const value = Number(text.replace(',', '.').replace('−', '-').replace(/\s*V$/i, ''));
  return text.trim() !== '' && Number.isFinite(value) ? value : undefined;
}

/** The readings that are numbers, V, without what the meter takes. */
export function readingsWithoutMeter(
  typed: TypedReadings,
  { fed, volts }: VoltageReport,
): ReadonlyMap<NodeName, number> {
  const read = [...typed].flatMap(([net, text]) => {
    const value = voltsRead(text);
    return value === undefined ? [] : [[net, value] as const];
  });
  return withoutMeter(new Map(read), volts, fed[0]!.readsV);
}

/** Verdict on what was read at a net; undefined where nothing was. */
export function readingVerdict(
  net: NodeName,
  typed: TypedReadings,
  report: VoltageReport,
  faults: FaultTable,
): ReadingVerdict | undefined {
  const text = typed.get(net);
  if (text === undefined) return undefined;
  const shown = voltsRead(text);
  const read = readingsWithoutMeter(new Map([[net, text]]), report).get(net);
  if (shown === undefined || read === undefined) return 'unread';
  if (suspectsOf(faults, new Map([[net, read]])).soundLargestMiss <= 1) return 'fits';
  const band = bandRead(report, net);
  const usual = band ? (band.low + band.high) / 2 : (report.fed[0]!.readsV.get(net) ?? 0);
  return shown < usual ? 'low' : 'high';
}
