import type { Build } from '../builds/build.ts';
import { legsOfBuild, type PartLegs } from '../builds/leg-nets.ts';
import { netsOf } from '../builds/network-of-build.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import { quantityText } from '../units/quantity-text.ts';
import { lifeText } from './battery-life.ts';
import { type FaultTable, suspectsAt } from './build-faults.ts';
import { meterText } from './net-volts.ts';
import type { SuppliedBuild } from './supply-comparison.ts';
import type { VoltageBand } from './voltage-bands.ts';
import { bandRead, type FedReadings, type VoltageReport } from './voltage-report.ts';

/** A net in the table of voltages, as it is shown. */
export interface NetRow {
  readonly net: NodeName;
  /** With each supply, in the order of the report. */
  readonly reads: readonly string[];
  readonly band: string;
  /** Mistakes of soldering that a reading off to this side suggests. */
  readonly tooLow: string;
  readonly tooHigh: string;
}

/** A leg in the table of voltages. */
export interface LegRow {
  /** "1 OUT A". */
  readonly leg: string;
  readonly net: string;
  readonly reads: readonly string[];
}

/** A part with its legs; `unknown` says so where no source has them. */
export interface PartRows extends Pick<PartLegs, 'ref' | 'type' | 'footprint'> {
  readonly legs: readonly LegRow[];
  readonly unknown?: string;
}

/** Nets with other supplies beside each other. */
export interface SupplyTable {
  /** "9 V". */
  readonly supplies: readonly string[];
  readonly rows: readonly (readonly [net: NodeName, ...reads: string[]])[];
  /** Which part is over its limit at which supply, or why the circuit does not work there. */
  readonly problems: readonly string[];
}

/** The rails with one supply. */
export interface RailRow {
  /** "9 V". */
  readonly supply: string;
  /** Of each rail. */
  readonly reads: readonly string[];
  /** Parts over their limits, or why the circuit does not work so; empty where it may be used. */
  readonly problems: readonly string[];
}

/** Where a meter shows nothing that can be compared. */
const NO_READING = '–';
/** Mistakes that are named at each net. */
const MOST_SUSPECTS = 2;

/** A row for each net, in the order of the circuit. */
export function netRows(report: VoltageReport, faults: FaultTable): readonly NetRow[] {
  return [...report.volts.keys()].map((net) => ({
    net,
    reads: report.fed.map(({ readsV }) => voltsText(readsV.get(net))),
    band: bandText(bandRead(report, net)),
    tooLow: mistakes(faults, net, 'low'),
    tooHigh: mistakes(faults, net, 'high'),
  }));
}

/** The legs of diodes, transistors and chips, part by part. */
export function legRows(build: Build, fed: readonly FedReadings[]): readonly PartRows[] {
  return legsOfBuild(build).map(({ ref, type, footprint, legs }) => ({
    ref,
    type,
    footprint,
    legs: legs.map(({ number, name, net }) => ({
      leg: `${number} ${name}`,
      net: net === undefined ? 'not connected' : net === GROUND ? 'ground' : net,
      reads: fed.map(({ readsV }) => legText(readsV, net)),
    })),
    ...(legs.length === 0 && { unknown: 'legs not known: look at its data sheet' }),
  }));
}

/** The nets that a meter can read, with each of the supplies. */
export function supplyTable(supplied: readonly SuppliedBuild[]): SupplyTable {
  const nets = [...(supplied.find(({ readsV }) => readsV.size > 0)?.readsV.keys() ?? [])];
  return {
    supplies: supplied.map(({ supplyV }) => `${supplyV} V`),
    rows: nets.map((net) => [net, ...supplied.map(({ readsV }) => voltsText(readsV.get(net)))]),
    problems: supplied.flatMap((each) => problemsOf(each).map((text) => `At ${each.supplyV} V: ${text}`)),
  };
}

/** The most rails that fit beside each other on paper. */
const MOST_RAILS = 5;

/** The rails of a build with each of the supplies, and which parts that overloads. */
export function railRows(
  build: Build,
  supplied: readonly SuppliedBuild[],
): { readonly rails: readonly NodeName[]; readonly rows: readonly RailRow[] } {
  const netOf = netsOf(build);
  const nodes = new Set(build.circuit.rails.map((rail) => netOf(`:${rail}`)));
  const rails = [...nodes]
    .filter((node) => supplied.some(({ readsV }) => readsV.has(node)))
    .slice(0, MOST_RAILS);
  const rows = supplied.map((each) => ({
    supply: `${each.supplyV} V`,
    reads: rails.map((rail) => voltsText(each.readsV.get(rail))),
    problems: problemsOf(each),
  }));
  return { rails, rows };
}

/** What each supply gives, how long a battery lasts, and what needs an adapter, in sentences. */
export function supplyTexts({ fed, lives, adapterOnly }: VoltageReport): readonly string[] {
  const given = [...fed[0]!.supplyA].map(([ref, amps]) => {
    const lasts = lives.filter((life) => life.ref === ref).map(({ hours }) => ` ${lifeText(hours)}`);
    return `${ref} gives ${quantityText(amps, 'A')} with an adapter.${lasts.join('')}`;
  });
  return [...given, ...adapterOnly];
}

/** Why the circuit does not work with a battery. */
export function batteryProblems({ fed }: VoltageReport): readonly string[] {
  return fed.flatMap(({ condition, refusal }) =>
    refusal === undefined ? [] : [`With a ${condition}: ${refusal}`],
  );
}

function problemsOf({ warnings, refusal }: SuppliedBuild): readonly string[] {
  return [...warnings.map(({ message }) => message), ...(refusal === undefined ? [] : [refusal])];
}

function voltsText(volts: number | undefined): string {
  return volts === undefined ? NO_READING : meterText(volts);
}

function legText(readsV: ReadonlyMap<NodeName, number>, net: NodeName | undefined): string {
  if (net === undefined) return '';
  return net === GROUND ? meterText(0) : voltsText(readsV.get(net));
}

function bandText(band: VoltageBand | undefined): string {
  if (!band) return '';
  const [low, high] = [meterText(band.low), meterText(band.high)];
  return low === high ? low : `${low} to ${high}`;
}

function mistakes(faults: FaultTable, net: NodeName, side: 'low' | 'high'): string {
  const suspects = suspectsAt(faults, net, side).slice(0, MOST_SUSPECTS);
  return suspects.map(({ part, kind }) => `${part} ${kind}`).join('; ');
}
