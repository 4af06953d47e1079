import { type Build, buildParts } from '../builds/build.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { withStiffSupply } from '../builds/supply-conditions.ts';
import type { NodeName } from '../devices/node.ts';
import { Refusal } from '../input/refusal.ts';
import { type BuildWarning, buildWarnings } from './build-warnings.ts';
import { meterReadings } from './meter-readings.ts';

/** Supplies that builders try, V. */
export const USUAL_SUPPLIES_V = [9, 12, 18] as const;

/** A build with another supply. */
export interface SuppliedBuild {
  readonly supplyV: number;
  /** What a meter reads, by net, V; empty where the circuit does not work so. */
  readonly readsV: ReadonlyMap<NodeName, number>;
  /** Parts over their limits. */
  readonly warnings: readonly BuildWarning[];
  readonly refusal?: string;
}

/** The build with adapters of these voltages in turn: its DC readings, and the parts that each would overload. */
export function compareSupplies(
  build: Build,
  temperatureK: number,
  meterOhms: number,
  suppliesV: readonly number[] = USUAL_SUPPLIES_V,
): readonly SuppliedBuild[] {
  return suppliesV.map((supplyV) => {
    const supplied = withStiffSupply(withSupply(build, supplyV));
    try {
      const readings = meterReadings(networkOf(supplied, temperatureK), meterOhms);
      return {
        supplyV,
        readsV: new Map(readings.map(({ net, readsV }) => [net, readsV])),
        warnings: buildWarnings(supplied, temperatureK),
      };
    } catch (error) {
      if (error instanceof Refusal)
        return { supplyV, readsV: new Map(), warnings: [], refusal: error.message };
      throw error;
    }
  });
}

/** The build with every supply at this voltage. */
export function withSupply(build: Build, supplyV: number): Build {
  const changed = buildParts(build.circuit)
    .filter(({ kind }) => kind === 'supply')
    .map(({ ref }) => [ref, { ...build.parts[ref]!, value: `${supplyV}V` }] as const);
  return { ...build, parts: { ...build.parts, ...Object.fromEntries(changed) } };
}
