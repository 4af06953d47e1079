import { faultTable } from '../analysis/build-faults.ts';
import { compareSupplies } from '../analysis/supply-comparison.ts';
import { voltageReport } from '../analysis/voltage-report.ts';
import {
  batteryProblems,
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
import { USUAL_METER_OHMS } from '../parts/battery-measurement.ts';
import { formatValue } from '../units/value-code.ts';

/** What a multimeter reads on one pedal alone, with the effect on. */
export interface VoltageData {
  /** How to measure; or why there is nothing else. */
  readonly method: readonly string[];
  /** What feeds the pedal, in the order of all readings. */
  readonly conditions: readonly SupplyCondition[];
  readonly nets: readonly NetRow[];
  readonly legs: readonly PartRows[];
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
export function voltageData(build: Build, temperatureK: number): VoltageData {
  try {
    return computed(build, temperatureK);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const method = [`The voltages are not computed: ${error.message}`];
    const supplied = suppliedBy(build);
    return { method, conditions: [], nets: [], legs: [], supplied, supply: [], rails: [], otherSupplies: [] };
  }
}

function computed(build: Build, temperatureK: number): VoltageData {
  const chain = withStiffSupplies(chainWith(build, LONE));
  const report = voltageReport(chain, temperatureK, USUAL_METER_OHMS);
  const faults = faultTable(networkOfChain(chain, temperatureK), report.bands);
  const { rails, rows } = railRows(build, compareSupplies(build, temperatureK, USUAL_METER_OHMS));
  return {
    method: methodOf(report.fed.length > 1),
    conditions: report.fed.map(({ condition }) => condition),
    nets: netRows(report, faults),
    legs: legRows(build, report.fed),
    supplied: suppliedBy(build),
    supply: [...supplyTexts(report), ...batteryProblems(report)],
    rails,
    otherSupplies: rows,
  };
}

function suppliedBy({ circuit, parts }: Build): string {
  return (parts[circuit.roles.supply]?.value ?? '').replace(/V$/, ' V');
}

function methodOf(hasBattery: boolean): readonly string[] {
  const { 'fresh battery': fresh, 'flat battery': flat } = BATTERY_STATES;
  const batteries = hasBattery
    ? ` Fresh and flat: a 9 V battery with ${fresh.volts} V and with ${flat.volts} V.`
    : '';
  return [
    `Black lead at ground, nothing played, knobs as above, DC volts, meter of ${formatValue(USUAL_METER_OHMS, 'ohms')}Ω; the pedal alone, effect on. R4.2 is the net at end 2 of R4. A dash: nothing steady to read.`,
    `Adapter: a supply of exactly the voltage in the schematic, so measure yours first.${batteries} 95 % of boards, with an adapter, lie within the band.`,
  ];
}
