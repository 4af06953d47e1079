import type { Chain } from '../builds/chain.ts';
import { networkOfChain } from '../builds/chain.ts';
import {
  fedNetwork,
  isBatteryVoltage,
  SUPPLY_CONDITIONS,
  type SupplyCondition,
  withStiffSupplies,
} from '../builds/supply-conditions.ts';
import type { NodeName } from '../devices/node.ts';
import { Refusal } from '../input/refusal.ts';
import type { Network } from '../network/network.ts';
import { quantityText } from '../units/quantity-text.ts';
import { batteryHours, LEAST_DRAW_A } from './battery-life.ts';
import { LEAST_SHARE_V, meterReadings } from './meter-readings.ts';
import { type VoltageBand, voltageBands } from './voltage-bands.ts';
import { voltageChart } from './voltage-chart.ts';

/** What a meter reads with one kind of supply. */
export interface FedReadings {
  readonly condition: SupplyCondition;
  /** By net, V; empty where the circuit does not work so. */
  readonly readsV: ReadonlyMap<NodeName, number>;
  /** Current of each supply, A, by reference designator. */
  readonly supplyA: ReadonlyMap<string, number>;
  /** Why the circuit does not work with it, in a sentence. */
  readonly refusal?: string;
}

export interface SupplyLife {
  readonly ref: string;
  readonly hours: number;
}

/** What a multimeter shows at every net of a chain, for each supply that it can have. */
export interface VoltageReport {
  /** In the order of {@link SUPPLY_CONDITIONS}; only the adapter where no battery gives the voltage. */
  readonly fed: readonly FedReadings[];
  /** With the adapter and no meter, V. */
  readonly volts: ReadonlyMap<NodeName, number>;
  /** The same on boards with other pieces of the same parts. */
  readonly bands: ReadonlyMap<NodeName, VoltageBand>;
  /** Of supplies that a battery can give, where the circuit works to the end of its life. */
  readonly lives: readonly SupplyLife[];
  /** A sentence for each supply that no battery gives. */
  readonly adapterOnly: readonly string[];
}

/**
 * DC readings without a signal.
 *
 * @param meterOhms Input resistance of the meter. @throws NetworkError, OperatingPointError with an adapter.
 */
export function voltageReport(chain: Chain, temperatureK: number, meterOhms: number): VoltageReport {
  const stiff = withStiffSupplies(chain);
  const network = networkOfChain(stiff, temperatureK);
  const readings = meterReadings(network, meterOhms);
  const adapter: FedReadings = {
    condition: 'adapter',
    readsV: new Map(readings.map(({ net, readsV }) => [net, readsV])),
    supplyA: supplyA(network),
  };
  const others = hasBattery(network) ? SUPPLY_CONDITIONS.filter((each) => each !== 'adapter') : [];
  const fed = [adapter, ...others.map((condition) => readingsFed(network, condition, meterOhms))];
  return {
    fed,
    volts: new Map(readings.map(({ net, volts }) => [net, volts])),
    bands: voltageBands(stiff, temperatureK),
    lives: livesOf(network, fed),
    adapterOnly: adapterTexts(network),
  };
}

/** A band as a meter shows it, which takes the same share of every board. */
export function bandRead({ fed, volts, bands }: VoltageReport, net: NodeName): VoltageBand | undefined {
  const band = bands.get(net);
  const [read, unloaded] = [fed[0]!.readsV.get(net), volts.get(net)];
  if (!band || read === undefined || unloaded === undefined) return undefined;
  const share = Math.abs(unloaded) < LEAST_SHARE_V ? 1 : read / unloaded;
  return { low: share * band.low, high: share * band.high };
}

function readingsFed(network: Network, condition: SupplyCondition, meterOhms: number): FedReadings {
  const fed = fedNetwork(network, condition);
  try {
    const readsV = new Map(meterReadings(fed, meterOhms).map(({ net, readsV: volts }) => [net, volts]));
    return { condition, readsV, supplyA: supplyA(fed) };
  } catch (error) {
    if (error instanceof Refusal)
      return { condition, readsV: new Map(), supplyA: new Map(), refusal: error.message };
    throw error;
  }
}

function supplyA(network: Network): ReadonlyMap<string, number> {
  return new Map(voltageChart(network).supplies.map(({ ref, amps }) => [ref, amps]));
}

function hasBattery({ primitives }: Network): boolean {
  return primitives.some((part) => part.kind === 'voltageSource' && isBatteryVoltage(part.volts));
}

function adapterTexts({ primitives }: Network): readonly string[] {
  return primitives.flatMap((part) =>
    part.kind !== 'voltageSource' || isBatteryVoltage(part.volts)
      ? []
      : [
          `${part.ref}: ${quantityText(Math.abs(part.volts), 'V')} needs an adapter, no 9 V battery gives it.`,
        ],
  );
}

function livesOf({ primitives }: Network, fed: readonly FedReadings[]): readonly SupplyLife[] {
  const currentOf = (condition: SupplyCondition, ref: string) =>
    fed.find((each) => each.condition === condition)?.supplyA.get(ref);
  return primitives.flatMap((part): SupplyLife[] => {
    if (part.kind !== 'voltageSource' || !isBatteryVoltage(part.volts)) return [];
    const [fresh, flat] = [currentOf('fresh battery', part.ref), currentOf('flat battery', part.ref)];
    if (fresh === undefined || flat === undefined) return [];
    if (Math.min(fresh, flat) < LEAST_DRAW_A) return [];
    return [{ ref: part.ref, hours: batteryHours(fresh, flat) }];
  });
}
