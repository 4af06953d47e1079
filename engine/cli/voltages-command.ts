import { lifeText } from '../analysis/battery-life.ts';
import { faultTable, suspectsAt, suspectsOf } from '../analysis/build-faults.ts';
import { type BuildWarning, buildWarnings } from '../analysis/build-warnings.ts';
import { isReachable, unloadedReadings } from '../analysis/meter-readings.ts';
import { compareSupplies } from '../analysis/supply-comparison.ts';
import { type VoltageBand, voltageBands } from '../analysis/voltage-bands.ts';
import { voltageChart } from '../analysis/voltage-chart.ts';
import { bandRead, type FedReadings, voltageReport } from '../analysis/voltage-report.ts';
import { type Chain, networkOfChain, nodeInChain } from '../builds/chain.ts';
import { type Leg, legsOfBuild } from '../builds/leg-nets.ts';
import { withStiffSupplies } from '../builds/supply-conditions.ts';
import { MOST_SUPPLIES } from '../input/limits.ts';
import { USUAL_METER_OHMS } from '../parts/battery-measurement.ts';
import { formatValue } from '../units/value-code.ts';
import { pedalPrefix, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { numberIn, type Options, temperatureOf } from './options.ts';
import { printJson, printSections, printTable } from './output.ts';
import { meterOf, readingsOf, voltsOf } from './reading-options.ts';

/** Suspects that are printed. */
const MOST_SUSPECTS = 5;
/** Suspects of one net in machine-readable output. */
const MOST_SUSPECTS_OF_NET = 4;

/**
 * DC of every net, and the current of each supply. A pedal off with true bypass keeps its power: its volts are those with the
 * effect on, since its footswitch cuts the signal and not the supply.
 */
export function voltagesCommand(options: Options): void {
  const given = readChain(options);
  const cutOff = given.pedals.flatMap(({ isOn, build }, position) =>
    isOn || build.bypass !== 'true' ? [] : [position],
  );
  const bench: Bench = {
    chain: poweredChain(given, cutOff),
    temperatureK: temperatureOf(options),
    meterOhms: meterOf(options),
  };
  const asked = [
    ...(bench.meterOhms === undefined ? [volts(bench)] : [metered(bench, bench.meterOhms)]),
    ...(options.supplies === undefined ? [] : [supplied(bench, suppliesOf(options.supplies))]),
    ...(options.readings === undefined ? [] : [suspected(bench, options.readings)]),
  ];
  const warnings = warningsOf(bench);
  if (options.json) {
    const off = cutOff.map((position) => position + 1);
    printJson(Object.assign({}, ...asked.map(({ json }) => json), { off, warnings }));
    return;
  }
  for (const { print } of asked) print();
  for (const position of cutOff) process.stdout.write(`${cutOffText(bench.chain, position)}\n`);
  for (const { message } of warnings) process.stdout.write(`Warning: ${message}\n`);
}

/** What is measured, where, and with what. */
interface Bench {
  readonly chain: Chain;
  readonly temperatureK: number;
  /** Undefined for a meter that loads nothing. */
  readonly meterOhms: number | undefined;
}

/** A part of the answer, in both forms. */
interface Answer {
  readonly json: object;
  readonly print: () => void;
}

function volts({ chain, temperatureK }: Bench): Answer {
  const { nets: all, supplies } = voltageChart(networkOfChain(chain, temperatureK));
  const nets = all.filter(({ net }) => isReachable(net));
  return {
    json: { nets, supplies },
    print: () =>
      printTable([
        ...nets.map(({ net, volts }) => [net, voltsText(volts)]),
        ...supplies.map(({ ref, amps }) => [`current of ${ref}`, milliamperes(amps)]),
      ]),
  };
}

/** What a meter reads, for each kind of supply. */
function metered({ chain, temperatureK }: Bench, meterOhms: number): Answer {
  const report = voltageReport(chain, temperatureK, meterOhms);
  const { fed, volts: unloaded, bands, lives, adapterOnly } = report;
  const faults = faultTable(networkOfChain(withStiffSupplies(chain), temperatureK), bands);
  const legs = legsOf(chain);
  const nets = [...unloaded].map(([net, volts]) => ({
    net,
    volts,
    reads: Object.fromEntries(fed.map(({ condition, readsV }) => [condition, readsV.get(net)])),
    band: bandRead(report, net),
    ifLow: suspectsAt(faults, net, 'low')
      .slice(0, MOST_SUSPECTS_OF_NET)
      .map(({ text }) => text),
    ifHigh: suspectsAt(faults, net, 'high')
      .slice(0, MOST_SUSPECTS_OF_NET)
      .map(({ text }) => text),
  }));
  return {
    json: {
      meterOhms,
      nets,
      legs: legs.map(({ net, ...leg }) => ({ ...leg, ...(net !== undefined && { net }) })),
      supplies: fed.map(({ condition, supplyA, refusal }) => ({
        condition,
        amperes: Object.fromEntries(supplyA),
        ...(refusal !== undefined && { refusal }),
      })),
      batteryHours: lives,
      adapterOnly,
    },
    print: () => {
      printSections([
        { title: '', rows: [['', ...fed.map(({ condition }) => condition), '95 % of boards, adapter']] },
        {
          title: 'Nets',
          rows: nets.map(({ net, band }) => [net, ...fed.map((each) => readText(each, net)), bandText(band)]),
        },
        { title: 'Legs', rows: legs.map((leg) => legRow(leg, fed)) },
        { title: 'Supply', rows: currentRows(fed) },
      ]);
      for (const { condition, refusal } of fed)
        if (refusal !== undefined) process.stdout.write(`With a ${condition}: ${refusal}\n`);
      for (const { ref, hours } of lives) process.stdout.write(`${ref}: ${lifeText(hours)}\n`);
      for (const text of adapterOnly) process.stdout.write(`${text}\n`);
    },
  };
}

interface PlacedLeg extends Leg {
  /** With its pedal's number in a chain. */
  readonly part: string;
  readonly type: string;
}

function legsOf(chain: Chain): readonly PlacedLeg[] {
  return chain.pedals.flatMap(({ build, isOn }, position) =>
    legsOfBuild(build, isOn ? 'on' : 'bypassed').flatMap(({ ref, type, legs }) =>
      legs.map((leg) => ({
        ...leg,
        ...(leg.net !== undefined && { net: nodeInChain(chain, position, leg.net) }),
        part: chain.pedals.length === 1 ? ref : `${position + 1}:${ref}`,
        type,
      })),
    ),
  );
}

function bandText(band: VoltageBand | undefined): string {
  return band ? `${voltsText(band.low)} to ${voltsText(band.high)}` : '';
}

function legRow({ part, number, name, net }: PlacedLeg, fed: readonly FedReadings[]): readonly string[] {
  return [`${part} ${number} ${name}`, ...fed.map((each) => (net === undefined ? '' : readText(each, net)))];
}

function currentRows(fed: readonly FedReadings[]): readonly (readonly string[])[] {
  const refs = [...(fed[0]?.supplyA.keys() ?? [])];
  return refs.map((ref) => [
    `current of ${ref}`,
    ...fed.map(({ supplyA }) => (supplyA.has(ref) ? milliamperes(supplyA.get(ref)!) : '')),
  ]);
}

/** Ground reads 0 V; a net that a pump drives up and down reads nothing in particular. */
function readText({ readsV }: FedReadings, net: string): string {
  if (net === '0') return '0.000 V';
  const volts = readsV.get(net);
  return volts === undefined ? '' : voltsText(volts);
}

/** Readings with other supplies, and what they would overload. */
function supplied({ chain, temperatureK, meterOhms }: Bench, suppliesV: readonly number[]): Answer {
  const pedals = chain.pedals.map(({ build }, position) => ({
    position,
    builds: compareSupplies(build, temperatureK, meterOhms ?? Number.POSITIVE_INFINITY, suppliesV),
  }));
  return {
    json: {
      withSupplies: pedals.map(({ position, builds }) => ({
        pedal: position + 1,
        builds: builds.map(({ readsV, ...build }) => ({ ...build, reads: Object.fromEntries(readsV) })),
      })),
    },
    print: () => {
      for (const { position, builds } of pedals) {
        const nets = [...(builds.find(({ readsV }) => readsV.size > 0)?.readsV.keys() ?? [])];
        process.stdout.write(`\n${pedalPrefix(chain, position)}Supply\n`);
        printTable([
          ['', ...builds.map(({ supplyV }) => `${supplyV} V`)],
          ...nets.map((net) => [
            net,
            ...builds.map(({ readsV }) => (readsV.has(net) ? voltsText(readsV.get(net)!) : '')),
          ]),
        ]);
        for (const { supplyV, warnings, refusal } of builds)
          for (const text of [
            ...warnings.map(({ message }) => message),
            ...(refusal === undefined ? [] : [refusal]),
          ])
            process.stdout.write(`At ${supplyV} V: ${text}\n`);
      }
    },
  };
}

/** The mistakes that explain readings best. */
function suspected({ chain, temperatureK, meterOhms = USUAL_METER_OHMS }: Bench, text: string): Answer {
  const network = networkOfChain(withStiffSupplies(chain), temperatureK);
  const table = faultTable(network, voltageBands(withStiffSupplies(chain), temperatureK));
  const typed = [...readingsOf(text, [...table.sound.keys()])];
  const read = new Map(typed.map(([net, volts]) => [net, voltsOf(volts)]));
  const readings = unloadedReadings(network, read, meterOhms);
  const { soundLargestMiss, areLeadsSwapped, suspects } = suspectsOf(table, readings);
  const first = suspects
    .slice(0, MOST_SUSPECTS)
    .map(({ fault: { text: says }, largestMiss }) => ({ text: says, largestMiss }));
  const isSound = soundLargestMiss <= 1;
  return {
    json: { readings: { isSound, areLeadsSwapped, soundLargestMiss, suspects: isSound ? [] : first } },
    print: () => {
      process.stdout.write(`\nReadings taken as those of a meter of ${formatValue(meterOhms, 'ohms')}.\n`);
      if (areLeadsSwapped) {
        process.stdout.write(
          'They fit a sound board with the other sign: red lead at the net, black lead at ground.\n',
        );
        return;
      }
      if (isSound) {
        process.stdout.write('These are what a sound board gives, within the tolerance of its parts.\n');
        return;
      }
      process.stdout.write('Suspects, the likeliest first (1 or less: explains all readings)\n');
      printTable(first.map(({ text: says, largestMiss }) => [largestMiss.toFixed(1), says]));
    },
  };
}

function suppliesOf(text: string): readonly number[] {
  const texts = text.split(',');
  if (texts.length > MOST_SUPPLIES)
    throw new CliError(`--supplies: ${texts.length} are too many; ${MOST_SUPPLIES} are the most.`);
  const empty = texts.findIndex((each) => each.trim() === '');
  if (empty >= 0) throw new CliError(`--supplies: entry ${empty + 1} of ${texts.length} is empty.`);
  return texts.map((each) => numberIn('supplies', each));
}

function warningsOf({ chain, temperatureK }: Bench): readonly BuildWarning[] {
  return chain.pedals.flatMap(({ build }, position) =>
    buildWarnings(build, temperatureK).map(({ message, ...warning }) => ({
      ...warning,
      message: `${pedalPrefix(chain, position)}${message}`,
    })),
  );
}

function poweredChain({ pedals }: Chain, cutOff: readonly number[]): Chain {
  return {
    pedals: pedals.map((pedal, position) => (cutOff.includes(position) ? { ...pedal, isOn: true } : pedal)),
  };
}

function cutOffText({ pedals }: Chain, position: number): string {
  const pedal = pedals.length === 1 ? 'The pedal' : `Pedal ${position + 1}`;
  return `${pedal} is off, but still powered: these are its volts with the effect on.`;
}

function voltsText(volts: number): string {
  return `${withoutMinusZero(volts.toFixed(3))} V`;
}

function milliamperes(amps: number): string {
  return `${(1000 * amps).toFixed(3)} mA`;
}

function withoutMinusZero(text: string): string {
  return /^-0\.?0*$/.test(text) ? text.slice(1) : text;
}
