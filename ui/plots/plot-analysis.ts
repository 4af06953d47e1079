import { type FaultTable, faultTable } from '../../engine/analysis/build-faults.ts';
import { type BuildWarning, buildWarnings } from '../../engine/analysis/build-warnings.ts';
import { FrequencyResponse, logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import { knobTurns } from '../../engine/analysis/knob-turn.ts';
import { levelPoints } from '../../engine/analysis/level-map.ts';
import { type NetVolts, netVolts } from '../../engine/analysis/net-volts.ts';
import type { Noise } from '../../engine/analysis/noise.ts';
import { type PedalOrder, pedalOrders } from '../../engine/analysis/order-list.ts';
import { heardPop, type Pops, popsOf } from '../../engine/analysis/pop.ts';
import { type SineAnalysis, sineAnalysis } from '../../engine/analysis/sine-analysis.ts';
import type { SineTest } from '../../engine/analysis/steady-sine.ts';
import { compareSupplies, type SuppliedBuild } from '../../engine/analysis/supply-comparison.ts';
import { type Unity, unityOf } from '../../engine/analysis/unity.ts';
import { type VoltageReport, voltageReport } from '../../engine/analysis/voltage-report.ts';
import type { Build } from '../../engine/builds/build.ts';
import { type Chain, chainWith, LONE, networkOfChain } from '../../engine/builds/chain.ts';
import { probedNode } from '../../engine/builds/probe-nets.ts';
import { withStiffSupplies } from '../../engine/builds/supply-conditions.ts';
import type { Surroundings } from '../../engine/builds/surroundings.ts';
import type { FootswitchPosition } from '../../engine/circuits/circuit.ts';
import type { NodeName } from '../../engine/devices/node.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { benchSheet } from '../../engine/sheet/bench-sheet.ts';
import type { SheetSource } from '../../engine/sheet/sheet-data.ts';
import {
  chainPlayed,
  networkAsPlayed,
  type PlayedBuild,
  pedalAsPlayed,
  placeOf,
  positionOf,
} from '../state/played-network.ts';
import { type RestConditions, restNoise } from '../state/rest-noise.ts';

/** One build as it is played, and the probed net: undefined for the output. */
export interface Subject extends PlayedBuild {
  readonly probe: string | undefined;
}

export type PlotQuery =
  | { readonly kind: 'response'; readonly subject: Subject }
  | { readonly kind: 'sine'; readonly subject: Subject; readonly test: SineTest };

/** Queries to the analyser: data of a plot, warnings, ratings, noise, unity. */
export type Query =
  | PlotQuery
  | { readonly kind: 'warnings'; readonly build: Build; readonly temperatureC: number }
  | { readonly kind: 'order'; readonly chain: Chain; readonly temperatureC: number }
  | {
      readonly kind: 'meter';
      readonly build: Build;
      readonly temperatureC: number;
      readonly meterOhms: number;
    }
  | ({ readonly kind: 'sheet'; readonly temperatureC: number } & Omit<SheetSource, 'temperatureK'>)
  | { readonly kind: 'turns'; readonly build: Build; readonly temperatureC: number }
  | { readonly kind: 'volts'; readonly played: Omit<PlayedBuild, 'instrument'> }
  | ({ readonly kind: 'noise' } & RestConditions & Pick<Subject, 'build'>)
  | {
      readonly kind: 'pop';
      readonly build: Build;
      readonly temperatureC: number;
      readonly around: Surroundings;
      readonly sampleRateHz: number;
    }
  | {
      readonly kind: 'unity';
      readonly build: Build;
      readonly temperatureC: number;
      readonly hasStandIn: boolean;
      readonly around: Surroundings;
    };

/** Gain from the input, or from the strings of a pickup, to the probe at each of RESPONSE_HZ, dB. */
export type ResponseAnalysis = readonly number[];

/** What the footswitch does, to be read and to be heard; undefined for a circuit without one. */
export interface HeardPops {
  readonly pops: Pops;
  /** By the position into which it goes, V. */
  readonly heard: Readonly<Record<FootswitchPosition, Float64Array<ArrayBuffer>>>;
}

export interface PlottedSine extends SineAnalysis {
  /** Net of the clipping curve, by its name; undefined where it is that of the probe. */
  readonly clippingNet: string | undefined;
  /** The node that the net has become in the build. */
  readonly clippingNode: NodeName | undefined;
}

export interface Analyses {
  readonly response: ResponseAnalysis;
  readonly sine: PlottedSine;
  readonly warnings: readonly BuildWarning[];
  readonly order: readonly PedalOrder[];
  /** A whole HTML document. */
  readonly sheet: string;
  readonly turns: KnobTurns;
  readonly volts: NetVolts;
  readonly meter: MeteredBuild;
  readonly noise: Noise;
  readonly unity: Unity;
  readonly pop: HeardPops;
}

/** What each knob does when it is turned clockwise, by its name. */
export type KnobTurns = readonly (readonly [knob: string, text: string])[];

/** What a multimeter reads on a build, and what it would read with each usual mistake. */
export interface MeteredBuild {
  readonly report: VoltageReport;
  readonly faults: FaultTable;
  readonly supplied: readonly SuppliedBuild[];
}

export const RESPONSE_HZ: readonly number[] = logarithmicFrequencies(20, 20_000, 181);

/**
 * Answers a query about one build. @returns Undefined where the build does not have
 * the probed net, or has no operating point.
 * @throws BuildError, NetworkError, OperatingPointError.
 */
export function analyse(query: Query): Analyses[Query['kind']] | undefined {
  if (query.kind === 'warnings') return buildWarnings(query.build, kelvinOf(query.temperatureC));
  if (query.kind === 'order') return pedalOrders(query.chain, kelvinOf(query.temperatureC));
  if (query.kind === 'sheet') return benchSheet({ ...query, temperatureK: kelvinOf(query.temperatureC) });
  if (query.kind === 'turns') return [...knobTurns(query.build, kelvinOf(query.temperatureC))];
  if (query.kind === 'volts') {
    const { played } = query;
    return netVolts(played.build, pedalAsPlayed(played), placeOf(played));
  }
  if (query.kind === 'meter') return metered(query);
  if (query.kind === 'noise') return restNoise(query.build, query);
  if (query.kind === 'pop') return heardPops(query);
  if (query.kind === 'unity') {
    const { build, temperatureC, hasStandIn, around } = query;
    return unityOf(build, { temperatureK: kelvinOf(temperatureC), hasStandIn, around });
  }
  const { build, probe } = query.subject;
  // The sine is one at the pedal's input, so that its volts are known; a pickup would change them.
  const network = query.kind === 'response' ? networkAsPlayed(query.subject) : pedalAsPlayed(query.subject);
  const place = placeOf(query.subject);
  const isOn = positionOf(query.subject) === 'on';
  const net = probe === undefined ? network.output : probedNode(build, network, probe, place);
  if (net === undefined) return undefined;
  if (query.kind === 'response') {
    const response = new FrequencyResponse(network);
    return RESPONSE_HZ.map((hz) => response.at(hz, net).decibels);
  }
  const points = levelPoints(chainPlayed(query.subject), network, query.test.hz);
  // Of the pedal that is looked at; the circuit names the net where it clips, but another build may not have it.
  const clipping =
    probe === undefined && isOn ? probedNode(build, network, build.circuit.clippingNet, place) : undefined;
  return {
    ...sineAnalysis(network, query.test, net, points, clipping),
    clippingNet: clipping && build.circuit.clippingNet,
    clippingNode: clipping,
  };
}

function metered({
  build,
  temperatureC,
  meterOhms,
}: Extract<Query, { readonly kind: 'meter' }>): MeteredBuild {
  const temperatureK = kelvinOf(temperatureC);
  const chain = withStiffSupplies(chainWith(build, LONE));
  const report = voltageReport(chain, temperatureK, meterOhms);
  return {
    report,
    faults: faultTable(networkOfChain(chain, temperatureK), report.bands),
    supplied: compareSupplies(build, temperatureK, meterOhms),
  };
}

function heardPops(query: Extract<Query, { readonly kind: 'pop' }>): HeardPops | undefined {
  const { build, temperatureC, around, sampleRateHz } = query;
  const pops = popsOf(build, { ...around, temperatureK: kelvinOf(temperatureC), sampleRateHz });
  if (!pops) return undefined;
  const heard = { on: heardPop(pops.on, sampleRateHz), bypassed: heardPop(pops.bypassed, sampleRateHz) };
  return { pops, heard };
}
