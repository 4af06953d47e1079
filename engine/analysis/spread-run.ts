import type { Build } from '../builds/build.ts';
import { chainWith, LONE, unitOf } from '../builds/chain.ts';
import { amountAt, type Deviation, deviateOf, deviationsOf } from '../builds/deviations.ts';
import type { PartsSet } from '../builds/parts-set.ts';
import { type Mover, Movers } from '../builds/set-of-parts.ts';
import { networkWithin } from '../builds/surroundings.ts';
import { deviceAt, isDevice } from '../devices/devices.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import type { Network, Primitive } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { CAPACITOR_KINDS, type CapacitorKind, capacitanceLeft } from '../parts/capacitor-kinds.ts';
import { parametersOf } from '../solver/parameters.ts';
import type { RestStatus } from '../solver/rest-search.ts';
import { normalAt } from '../units/counted-normal.ts';
import { PolynomialSums } from './polynomial-sums.ts';
import {
  asPrinted,
  LEAST_GAIN_DB,
  LEVEL_HZ,
  SPREAD_HZ,
  type SpreadSettings,
  setIn,
  temperatureIn,
  temperatureShare,
} from './spread-settings.ts';
import { VariantAnalysis } from './variant-analysis.ts';

/** Names of what a run finds of each build: its columns. */
export interface SpreadColumns {
  readonly hz: readonly number[];
  readonly nets: readonly string[];
  readonly supplies: readonly string[];
}

export type SpreadStatus = RestStatus | 'singular';

/** The builds of a run from one number to another. */
export interface SpreadChunk {
  readonly from: number;
  readonly count: number;
  /** Row by row, of the builds that have an operating point: gains, dB, level, dB, volts, amperes; see `columnCount`. */
  readonly rows: Float32Array<ArrayBuffer>;
  /** Numbers of these builds. */
  readonly numbers: Int32Array<ArrayBuffer>;
  readonly failed: Readonly<Record<Exclude<SpreadStatus, 'found'>, number>>;
  /** Sums over these builds of (column − nominal)·polynomial: by order, cause, column. */
  readonly products: Float64Array<ArrayBuffer>;
  /** Sums of the polynomials: by order and cause. */
  readonly polynomials: Float64Array<ArrayBuffer>;
}

/** One thing that may cause the differences. */
export interface SpreadCause {
  /** "R6"; in a chain "2:R6". "temperature". */
  readonly label: string;
  /** "value ±1 % (metal film)". */
  readonly text: string;
  /** Common half of two causes; see `Deviation`. The temperature has none. */
  readonly batchKey: number | undefined;
  readonly sigma: number;
}

interface Varied {
  readonly deviation: Deviation;
  /** Position of its pedal. */
  readonly position: number;
}

/** Writes the numbers of one primitive. */
interface Writer {
  readonly primitive: Primitive;
  readonly offset: number;
  readonly mover: Mover | undefined;
  /** Those of its pedal, filled anew for each build. */
  readonly amounts: Float64Array;
}

interface Biased {
  readonly offset: number;
  readonly kind: CapacitorKind;
  readonly a: number;
  readonly b: number;
  /** Share of the capacitance that is left in the nominal network. */
  readonly left: number;
}

/**
 * Solves builds with other sets of the same parts. Build number n is the same whoever solves it: see `deviateOf`. What needs
 * the structure is done once; a build is new numbers.
 */
export class SpreadRun {
  readonly columns: SpreadColumns;
  readonly causes: readonly SpreadCause[];
  /** The columns with every part as printed. */
  readonly nominal: Float64Array;
  readonly #settings: SpreadSettings;
  readonly #analysis: VariantAnalysis;
  /** For ceramic capacitors, whose capacitance follows the operating point. */
  readonly #rest: VariantAnalysis | undefined;
  readonly #varied: readonly Varied[];
  readonly #amounts: Float64Array;
  readonly #deviates: Float64Array;
  readonly #parameters: Float64Array;
  /** At the temperature of the run, if it is one; else as at 27 °C, and moved for each build. */
  readonly #writers: readonly Writer[];
  readonly #biased: readonly Biased[];

  /** @throws BuildError, NetworkError, OperatingPointError for the build as printed. */
  constructor(settings: SpreadSettings) {
    this.#settings = settings;
    const { build, around, temperatureK } = asPrinted(settings);
    const chain = chainWith(build, around.chain ?? LONE);
    const middleK = (temperatureK.low + temperatureK.high) / 2;
    const network = pruneNetwork(networkWithin(build, middleK, around));
    const hz = [...SPREAD_HZ, LEVEL_HZ];
    this.#analysis = new VariantAnalysis(network, { nets: [network.output], hz });
    this.columns = {
      hz: SPREAD_HZ,
      nets: this.#analysis.nodeNames,
      supplies: this.#analysis.supplyNames,
    };
    const perPedal = chain.pedals.map((pedal) => deviationsOf(pedal.build, settings.tolerances));
    const units = chain.pedals.map((_, position) => unitOf(chain, position));
    this.#varied = perPedal.flatMap((deviations, position) =>
      deviations.map((deviation) => ({ deviation, position })),
    );
    this.causes = [
      ...this.#varied.map(({ deviation, position }): SpreadCause => {
        const { label, batchKey, sigma, spread } = deviation;
        const unit = units[position]!;
        const name = unit === '' ? label : `${unit}:${label}`;
        return { label: name, text: spread.text, batchKey: batchKey + position, sigma };
      }),
      ...(this.#hasRange ? [temperatureCause()] : []),
    ];
    this.#amounts = new Float64Array(this.#varied.length);
    this.#deviates = new Float64Array(this.causes.length);
    this.#parameters = this.#analysis.nominal.slice();
    const movers = chain.pedals.map((pedal, position) => new Movers(pedal.build, perPedal[position]!));
    const cold = this.#hasRange
      ? pruneNetwork(networkWithin(build, NOMINAL_TEMPERATURE_K, around)).primitives
      : network.primitives;
    const ofPedals = perPedal.map(({ length }, position) => {
      const first = perPedal.slice(0, position).flat().length;
      return this.#amounts.subarray(first, first + length);
    });
    let offset = 0;
    const writers: Writer[] = [];
    for (const [index, primitive] of network.primitives.entries()) {
      const position = units.indexOf(primitive.origin.unit);
      const mover = position < 0 ? undefined : movers[position]!.of(primitive);
      const amounts = ofPedals[position] ?? this.#amounts;
      const from = isDevice(primitive) ? cold[index]! : primitive;
      if (mover || (this.#hasRange && isDevice(primitive)))
        writers.push({ primitive: from, offset, mover, amounts });
      offset += parametersOf(primitive, middleK).length;
    }
    this.#writers = writers;
    this.#biased = this.#findBiased(
      network,
      chain.pedals.map((pedal) => pedal.build),
      units,
    );
    this.#rest = this.#biased.length > 0 ? new VariantAnalysis(network, { nets: [], hz: [] }) : undefined;
    this.nominal = new Float64Array(columnCount(this.columns));
    this.#write(this.nominal);
  }

  get #hasRange(): boolean {
    const { low, high } = this.#settings.temperatureK;
    return high > low;
  }

  /** The set of a pedal in one build. */
  setOf(number: number, position: number): PartsSet {
    return setIn(this.#settings, number, position);
  }

  /** Temperature of one build, K. */
  temperatureOf(number: number): number {
    return temperatureIn(this.#settings, number);
  }

  /** Solves some builds. @param from Number of the first, from 1. */
  solve(from: number, count: number): SpreadChunk {
    const width = columnCount(this.columns);
    const rows = new Float32Array(count * width);
    const numbers = new Int32Array(count);
    const failed = { starved: 0, unsettled: 0, singular: 0 };
    const sums = new PolynomialSums(this.causes.length, this.nominal);
    const row = new Float64Array(width);
    let found = 0;
    for (let number = from; number < from + count; number++) {
      const status = this.#solveOne(number);
      if (status !== 'found') {
        failed[status]++;
        continue;
      }
      this.#write(row);
      rows.set(row, found * width);
      numbers[found++] = number;
      sums.add(this.#deviates, row);
    }
    sums.finish();
    return {
      from,
      count,
      rows: rows.slice(0, found * width),
      numbers: numbers.slice(0, found),
      failed,
      products: sums.products,
      polynomials: sums.polynomials,
    };
  }

  #solveOne(number: number): SpreadStatus {
    const temperatureK = this.temperatureOf(number);
    for (const [index, { deviation, position }] of this.#varied.entries()) {
      const deviate = deviateOf(deviation, this.setOf(number, position));
      this.#deviates[index] = deviate / deviation.sigma;
      this.#amounts[index] = amountAt(deviation, deviate);
    }
    if (this.#hasRange)
      this.#deviates[this.#varied.length] = normalAt(temperatureShare(this.#settings, number));
    for (const { primitive, offset, mover, amounts } of this.#writers) {
      const warm = this.#hasRange && isDevice(primitive) ? deviceAt(primitive, temperatureK) : primitive;
      this.#parameters.set(
        parametersOf(mover ? mover(warm, amounts, temperatureK) : warm, temperatureK),
        offset,
      );
    }
    if (this.#rest) {
      const status = this.#rest.solve(this.#parameters);
      if (status !== 'found') return status;
      this.#bias(this.#rest.volts);
    }
    return this.#analysis.solve(this.#parameters);
  }

  /** Capacitances do not change the operating point. */
  #bias(volts: Float64Array): void {
    for (const { offset, kind, a, b, left } of this.#biased) {
      const share = capacitanceLeft(kind, (volts[a] ?? 0) - (volts[b] ?? 0));
      this.#parameters[offset]! *= share / left;
    }
  }

  #findBiased(network: Network, builds: readonly Build[], units: readonly string[]): readonly Biased[] {
    const { volts, nodeNames } = this.#analysis;
    let next = 0;
    return network.primitives.flatMap((primitive): Biased[] => {
      const offset = next;
      next += parametersOf(primitive, network.temperatureK).length;
      if (primitive.kind !== 'capacitor') return [];
      const { unit, ref } = primitive.origin;
      const kind = builds[units.indexOf(unit)]?.parts[ref]?.dielectric;
      if (kind === undefined || !CAPACITOR_KINDS[kind].left) return [];
      const [a, b] = primitive.nodes.map((node) => nodeNames.indexOf(node)) as [number, number];
      const left = capacitanceLeft(kind, (volts[a] ?? 0) - (volts[b] ?? 0));
      return [{ offset, kind, a, b, left }];
    });
  }

  /** The results of the analysis as a row. */
  #write(row: Float64Array): void {
    const { gainsDb, volts, supplyA } = this.#analysis;
    for (let index = 0; index < gainsDb.length; index++)
      row[index] = Math.max(LEAST_GAIN_DB, gainsDb[index]!);
    row.set(volts, gainsDb.length);
    row.set(supplyA, gainsDb.length + volts.length);
  }
}

/** Number of a run's columns: the response, the level, the volts of the nets, the currents of the supplies. */
export function columnCount({ hz, nets, supplies }: SpreadColumns): number {
  return hz.length + 1 + nets.length + supplies.length;
}

function temperatureCause(): SpreadCause {
  return { label: 'temperature', text: 'the range that was asked for', batchKey: undefined, sigma: 1 };
}
