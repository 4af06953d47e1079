import { type Build, circuitOf } from '../builds/build.ts';
import { netsOf, networkOf } from '../builds/network-of-build.ts';
import { partsOf } from '../circuits/circuit.ts';
import { pruneNetwork } from '../network/prune.ts';
import { findConverter, findOpamp } from '../parts/catalogue.ts';
import { operatingPoint } from '../solver/operating-point.ts';

/** Something that would hurt a part of the build as it stands. */
export interface BuildWarning {
  readonly ref: string;
  /** One sentence that names the part, the value and the limit. */
  readonly message: string;
  /** Where the limit is published. */
  readonly source: string;
}

/** Reverse voltage that an electrolytic is taken to bear, V; makers allow none, so this is only rounding. */
const REVERSE_TOLERANCE_V = 0.05;

/**
 * Parts of a build that are over their ratings at rest: a converter or op-amp above its supply limit, an
 * electrolytic capacitor the wrong way round.
 *
 * @param temperatureK Of the bench; 27 °C where nothing is said. @throws NetworkError, OperatingPointError.
 */
export function buildWarnings(build: Build, temperatureK?: number): readonly BuildWarning[] {
  const { volts } = operatingPoint(pruneNetwork(networkOf(build, temperatureK)));
  const circuit = circuitOf(build);
  const netOf = netsOf(build);
  const at = (pin: string): number => volts.get(netOf(pin)) ?? 0;
  const warnings = [...partsOf(circuit)].flatMap(([ref, { part }]): BuildWarning[] => {
    const setting = build.parts[part.kind === 'opamp' ? part.package : ref];
    if (!setting || setting.fit !== undefined) return [];
    switch (part.kind) {
      case 'converter':
        return converterWarning(ref, setting.type!, at(`${ref}.supply`));
      case 'opamp':
        return opampWarning(part.package, setting.type!, at(`${ref}.positive`) - at(`${ref}.negative`));
      case 'capacitor':
        return part.polarised ? polarityWarning(ref, at(`${ref}.1`) - at(`${ref}.2`)) : [];
      default:
        return [];
    }
  });
  // Both amplifiers of a package stand on the same pins.
  return warnings.filter(({ ref }, index) => warnings.findIndex((other) => other.ref === ref) === index);
}

function converterWarning(ref: string, type: string, supplyV: number): BuildWarning[] {
  const { maxSupplyV, absoluteMaxSupplyV, source } = findConverter(type);
  if (supplyV <= maxSupplyV) return [];
  const limit =
    supplyV > absoluteMaxSupplyV
      ? `is destroyed above ${absoluteMaxSupplyV} V`
      : `works up to ${maxSupplyV} V`;
  return [{ ref, message: `${ref} (${type}) gets ${supplyV.toFixed(1)} V and ${limit}.`, source }];
}

function opampWarning(ref: string, type: string, supplyV: number): BuildWarning[] {
  const { maxSupplyV, limits } = findOpamp(type);
  if (supplyV <= maxSupplyV) return [];
  const source = limits.find(({ quantity }) => quantity === 'supplyV')?.source ?? 'datasheet';
  return [
    { ref, message: `${ref} (${type}) gets ${supplyV.toFixed(1)} V and bears ${maxSupplyV} V.`, source },
  ];
}

function polarityWarning(ref: string, volts: number): BuildWarning[] {
  if (volts >= -REVERSE_TOLERANCE_V) return [];
  return [
    {
      ref,
      message: `${ref} stands at ${volts.toFixed(2)} V from plus to minus: an electrolytic the wrong way round fails.`,
      source: 'maker precautions for aluminium electrolytics',
    },
  ];
}
