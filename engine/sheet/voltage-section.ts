import { lifeText } from '../analysis/battery-life.ts';
import { type FaultTable, faultTable, suspectsAt } from '../analysis/build-faults.ts';
import { meterText } from '../analysis/net-volts.ts';
import { compareSupplies } from '../analysis/supply-comparison.ts';
import type { VoltageBand } from '../analysis/voltage-bands.ts';
import { bandRead, type FedReadings, type VoltageReport, voltageReport } from '../analysis/voltage-report.ts';
import type { Build } from '../builds/build.ts';
import { chainWith, LONE, networkOfChain } from '../builds/chain.ts';
import { legsOfBuild } from '../builds/leg-nets.ts';
import { withStiffSupplies } from '../builds/supply-conditions.ts';
import { GROUND } from '../devices/node.ts';
import { Refusal } from '../input/refusal.ts';
import { USUAL_METER_OHMS } from '../parts/battery-measurement.ts';
import { quantityText } from '../units/quantity-text.ts';
import { formatValue } from '../units/value-code.ts';
import { type Column, list, paragraph, table } from './sheet-markup.ts';

/** Mistakes that are named at each net. */
const MOST_SUSPECTS = 2;

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
${list([...currents(report), ...otherSupplies(build, temperatureK)])}
<h3>At the legs</h3>
${legTable(build, report.fed)}`;
}

function netTable(report: VoltageReport, faults: FaultTable): string {
  const { fed, volts } = report;
  const rows = [...volts.keys()].map((net) => [
    net,
    '',
    ...fed.map(({ readsV }) => voltsText(readsV.get(net))),
    bandText(bandRead(report, net)),
    shortly(faults, net, 'low'),
    shortly(faults, net, 'high'),
  ]);
  const columns: readonly Column[] = [
    ['Net', 28],
    ['You read, V', 16],
    ...fed.map(({ condition }) => [condition, 17] as const),
    ['95 % of boards', 32],
    ['If it is too low', 30],
    ['If it is too high', 30],
  ];
  return table(columns, [{ rows }]);
}

function legTable(build: Build, fed: readonly FedReadings[]): string {
  const groups = legsOfBuild(build).map(({ ref, type, legs }) => ({
    title: `${ref} ${type}${legs.length === 0 ? ': legs not known, look at its data sheet' : ''}`,
    rows: legs.map(({ number, name, net }) => [
      `${number} ${name}`,
      net === undefined ? 'not connected' : net === GROUND ? 'ground' : net,
      '',
      ...fed.map(({ readsV }) => (net === undefined ? '' : voltsText(net === GROUND ? 0 : readsV.get(net)))),
    ]),
  }));
  const columns: readonly Column[] = [
    ['Leg', 36],
    ['Net', 46],
    ['You read, V', 24],
    ...fed.map(({ condition }) => [condition, 24] as const),
  ];
  return table(columns, groups);
}

function currents({ fed, lives, adapterOnly }: VoltageReport): readonly string[] {
  const given = [...fed[0]!.supplyA].map(([ref, amps]) => {
    const lasts = lives.filter((life) => life.ref === ref).map(({ hours }) => ` ${lifeText(hours)}`);
    return `${ref} gives ${quantityText(amps, 'A')} with an adapter.${lasts.join('')}`;
  });
  const refused = fed.flatMap(({ condition, refusal }) =>
    refusal === undefined ? [] : [`With a ${condition}: ${refusal}`],
  );
  return [...given, ...refused, ...adapterOnly];
}

/** Parts that another usual supply overloads. */
function otherSupplies(build: Build, temperatureK: number): readonly string[] {
  return compareSupplies(build, temperatureK, USUAL_METER_OHMS).flatMap(({ supplyV, warnings, refusal }) => [
    ...warnings.map(({ message }) => `At ${supplyV} V: ${message}`),
    ...(refusal === undefined ? [] : [`At ${supplyV} V: ${refusal}`]),
  ]);
}

function voltsText(volts: number | undefined): string {
  return volts === undefined ? '–' : meterText(volts);
}

function bandText(band: VoltageBand | undefined): string {
  if (!band) return '';
  const [low, high] = [meterText(band.low), meterText(band.high)];
  return low === high ? low : `${low} to ${high}`;
}

function shortly(faults: FaultTable, net: string, side: 'low' | 'high'): string {
  const suspects = suspectsAt(faults, net, side).slice(0, MOST_SUSPECTS);
  return suspects.map(({ part, kind }) => `${part} ${kind}`).join('; ');
}
