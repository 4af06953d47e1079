import {
  READING_VERDICTS,
  type ReadingVerdict,
  readingVerdict,
  type TypedReadings,
} from '../analysis/board-readings.ts';
import { faultTable } from '../analysis/build-faults.ts';
import { compareSupplies } from '../analysis/supply-comparison.ts';
import { voltageReport } from '../analysis/voltage-report.ts';
import {
  batteryProblems,
  type LegRow,
  legRows,
  type NetRow,
  netRows,
  type PartRows,
  type RailRow,
  railRows,
  supplyTexts,
} from '../analysis/voltage-rows.ts';
import type { Build } from '../builds/build.ts';
import { chainWith, LONE, networkOfChain } from '../builds/chain.ts';
import { BATTERY_STATES, type SupplyCondition, withStiffSupplies } from '../builds/supply-conditions.ts';
import { Refusal } from '../input/refusal.ts';
import { inLine } from '../input/shown-text.ts';
import { USUAL_METER_OHMS } from '../parts/battery-measurement.ts';
import { formatValue } from '../units/value-code.ts';

/** What was read on the board of a pedal. */
export interface SheetReadings {
  /** Input resistance of the meter. */
  readonly meterOhms: number;
  readonly typed: TypedReadings;
}

/** A row of the table, with what was read there. */
type ReadRow<Row> = Row & { readonly read?: ReadText };

interface ReadPartRows extends Omit<PartRows, 'legs'> {
  readonly legs: readonly ReadRow<LegRow>[];
}

/** A reading as it was typed, and the verdict on it: "▲", "too high". */
export interface ReadText {
  readonly text: string;
  readonly mark: string;
  readonly verdict: string;
}

/** Longest text of a reading on paper. */
const MOST_READING_CHARACTERS = 12;
const NOTHING_READ: SheetReadings = { meterOhms: USUAL_METER_OHMS, typed: new Map() };

/** What a multimeter reads on one pedal alone, with the effect on. */
export interface VoltageData {
  /** How to measure; or why there is nothing else. */
  readonly method: readonly string[];
  /** What feeds the pedal, in the order of all readings. */
  readonly conditions: readonly SupplyCondition[];
  readonly nets: readonly ReadRow<NetRow>[];
  readonly legs: readonly ReadPartRows[];
  /** Volts of the build's own supply, such as "9 V". */
  readonly supplied: string;
  /** Current and life of batteries. */
  readonly supply: readonly string[];
  /** Rails that the next rows read. */
  readonly rails: readonly string[];
  /** With the usual supplies. */
  readonly otherSupplies: readonly RailRow[];
}

/** Nothing but the reason where the volts cannot be computed. */
export function voltageData(
  build: Build,
  temperatureK: number,
  readings: SheetReadings = NOTHING_READ,
): VoltageData {
  try {
    return computed(build, temperatureK, readings);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const method = [`The voltages are not computed: ${error.message}`];
    const supplied = suppliedBy(build);
    return { method, conditions: [], nets: [], legs: [], supplied, supply: [], rails: [], otherSupplies: [] };
  }
}

function computed(build: Build, temperatureK: number, { meterOhms, typed }: SheetReadings): VoltageData {
  const chain = withStiffSupplies(chainWith(build, LONE));
  const report = voltageReport(chain, temperatureK, meterOhms);
  const faults = faultTable(networkOfChain(chain, temperatureK), report.bands);
  const withRead = <Row extends { readonly net: string }>(row: Row): ReadRow<Row> => {
    const verdict = readingVerdict(row.net, typed, report, faults);
    return verdict === undefined ? row : { ...row, read: readText(typed.get(row.net)!, verdict) };
  };
  const { rails, rows } = railRows(build, compareSupplies(build, temperatureK, meterOhms));
  return {
    method: methodOf(report.fed.length > 1, meterOhms),
    conditions: report.fed.map(({ condition }) => condition),
    nets: netRows(report, faults).map(withRead),
    legs: legRows(build, report.fed).map((part) => ({ ...part, legs: part.legs.map(withRead) })),
    supplied: suppliedBy(build),
    supply: [...supplyTexts(report), ...batteryProblems(report)],
    rails,
    otherSupplies: rows,
  };
}

function readText(typed: string, verdict: ReadingVerdict): ReadText {
  const { mark, word } = READING_VERDICTS[verdict];
  return { text: inLine(typed, MOST_READING_CHARACTERS), mark, verdict: word };
}

function suppliedBy({ circuit, parts }: Build): string {
  return (parts[circuit.roles.supply]?.value ?? '').replace(/V$/, ' V');
}

function methodOf(hasBattery: boolean, meterOhms: number): readonly string[] {
  const { 'fresh battery': fresh, 'flat battery': flat } = BATTERY_STATES;
  const batteries = hasBattery
    ? ` Fresh and flat: a 9 V battery with ${fresh.volts} V and with ${flat.volts} V.`
    : '';
  return [
    `Black lead at ground, nothing played, knobs as above, DC volts, meter of ${formatValue(meterOhms, 'ohms')}Ω; the pedal alone, effect on. R4.2 is the net at end 2 of R4. A dash: nothing steady to read.`,
    `Adapter: a supply of exactly the voltage in the schematic, so measure yours first.${batteries} 95 % of boards, with an adapter, lie within the band.`,
  ];
}
