import { type FaultTable, faultTable } from '../analysis/build-faults.ts';
import { compareSupplies } from '../analysis/supply-comparison.ts';
import { type VoltageReport, voltageReport } from '../analysis/voltage-report.ts';
import { batteryProblems, legRows, netRows, supplyTable, supplyTexts } from '../analysis/voltage-rows.ts';
import type { Build } from '../builds/build.ts';
import { chainWith, LONE, networkOfChain } from '../builds/chain.ts';
import { withStiffSupplies } from '../builds/supply-conditions.ts';
import { Refusal } from '../input/refusal.ts';
import { USUAL_METER_OHMS } from '../parts/battery-measurement.ts';
import { formatValue } from '../units/value-code.ts';
import { type Column, list, paragraph, table } from './sheet-markup.ts';

/** What a multimeter reads on one pedal alone, with room for what is read on the board. */
export function voltageSection(build: Build, temperatureK: number): string {
  try {
    return sectionOf(build, temperatureK);
  } catch (error) {
    if (error instanceof Refusal) return paragraph(`The voltages are not computed: ${error.message}`);
    throw error;
  }
}

function sectionOf(build: Build, temperatureK: number): string {
  const chain = withStiffSupplies(chainWith(build, LONE));
  const report = voltageReport(chain, temperatureK, USUAL_METER_OHMS);
  const faults = faultTable(networkOfChain(chain, temperatureK), report.bands);
  return `${paragraph(
    `Black lead at ground, nothing played, DC volts, meter of ${formatValue(USUAL_METER_OHMS, 'ohms')}Ω; the pedal alone, effect on. R4.2 is the net at end 2 of R4.`,
  )}
${netTable(report, faults)}
${list([...supplyTexts(report), ...batteryProblems(report), ...otherSupplies(build, temperatureK)])}
<h3>At the legs</h3>
${legTable(build, report)}`;
}

function netTable(report: VoltageReport, faults: FaultTable): string {
  const columns: readonly Column[] = [
    ['Net', 28],
    ['You read, V', 16],
    ...report.fed.map(({ condition }) => [condition, 17] as const),
    ['95 % of boards', 32],
    ['If it is too low', 30],
    ['If it is too high', 30],
  ];
  const rows = netRows(report, faults).map(({ net, reads, band, tooLow, tooHigh }) => [
    net,
    '',
    ...reads,
    band,
    tooLow,
    tooHigh,
  ]);
  return table(columns, [{ rows }]);
}

function legTable(build: Build, { fed }: VoltageReport): string {
  const groups = legRows(build, fed).map(({ ref, type, legs, unknown }) => ({
    title: `${ref} ${type}${unknown === undefined ? '' : `: ${unknown}`}`,
    rows: legs.map(({ leg, net, reads }) => [leg, net, '', ...reads]),
  }));
  const columns: readonly Column[] = [
    ['Leg', 36],
    ['Net', 46],
    ['You read, V', 24],
    ...fed.map(({ condition }) => [condition, 24] as const),
  ];
  return table(columns, groups);
}

/** Parts that another usual supply overloads. */
function otherSupplies(build: Build, temperatureK: number): readonly string[] {
  return supplyTable(compareSupplies(build, temperatureK, USUAL_METER_OHMS)).problems;
}
