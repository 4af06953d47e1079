import type { Build } from '../builds/build.ts';
import { netsOf, networkOf } from '../builds/network-of-build.ts';
import { partsOf } from '../circuits/circuit.ts';
import { pruneNetwork } from '../network/prune.ts';
import { converterEntry, opampEntry } from '../parts/part-types.ts';
import { operatingPoint } from '../solver/operating-point.ts';

/** A part of the build that is over its limit. */
export interface BuildWarning {
  readonly ref: string;
  /** The part, its value, the limit, the excess, and what to do; for screen and command line. */
  readonly message: string;
  /** Source of the limit, from the catalogue. */
  readonly source: string;
}

/** Tolerated reverse voltage of an electrolytic, V; makers allow none, so this is only for rounding. */
const REVERSE_TOLERANCE_V = 0.05;

/**
 * Parts of a build that are over their limits at the operating point: a converter or op-amp above its supply
 * limit, an electrolytic capacitor with reversed voltage.
 *
 * @param temperatureK Of the bench. @throws NetworkError, OperatingPointError.
 */
export function buildWarnings(build: Build, temperatureK: number): readonly BuildWarning[] {
  const { volts } = operatingPoint(pruneNetwork(networkOf(build, temperatureK)));
  const circuit = build.circuit;
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
  // Both amplifiers of a package have the same supply pins.
  return warnings.filter(({ ref }, index) => warnings.findIndex((other) => other.ref === ref) === index);
}

/** A limit that a part exceeds. */
interface PassedLimit {
  readonly volts: number;
  readonly limitV: number;
  /** The limit in words, as they follow "over". */
  readonly limit: string;
  readonly source: string;
}

const REMEDY = 'Use a lower supply or a type with a higher limit.';
/** End of a source whose document was not at hand: see DatasheetPoint. */
const FROM_MEMORY = /from memory$/;

function overLimit(ref: string, type: string, { volts, limitV, limit, source }: PassedLimit): BuildWarning[] {
  const where = FROM_MEMORY.test(source) ? 'limit not checked against a datasheet' : source;
  const over = (volts - limitV).toFixed(1);
  const message = `${ref} (${type}) sees ${volts.toFixed(1)} V, ${over} V over ${limit} (${where}). ${REMEDY}`;
  return [{ ref, message, source }];
}

function converterWarning(ref: string, type: string, volts: number): BuildWarning[] {
  const { maxSupplyV, absoluteMaxSupplyV, source: sheet, fromMemory } = converterEntry(type);
  if (volts > absoluteMaxSupplyV) {
    const limit = `its limit of ${absoluteMaxSupplyV} V`;
    const source = fromMemory.includes('absoluteMaxSupplyV') ? `${sheet}, from memory` : sheet;
    return overLimit(ref, type, { volts, limitV: absoluteMaxSupplyV, limit, source });
  }
  if (volts <= maxSupplyV) return [];
  const limit = `its working limit of ${maxSupplyV} V`;
  return overLimit(ref, type, { volts, limitV: maxSupplyV, limit, source: sheet });
}

function opampWarning(ref: string, type: string, volts: number): BuildWarning[] {
  const { maxSupplyV: limitV, limits } = opampEntry(type);
  if (volts <= limitV) return [];
  // A test compares each type's limit with its datasheet.
  const source = limits.find(({ quantity }) => quantity === 'supplyV')?.source ?? 'from memory';
  return overLimit(ref, type, { volts, limitV, limit: `its limit of ${limitV} V`, source });
}

function polarityWarning(ref: string, volts: number): BuildWarning[] {
  if (volts >= -REVERSE_TOLERANCE_V) return [];
  return [
    {
      ref,
      message: `${ref} sees ${volts.toFixed(2).replace('-', '−')} V from plus to minus; its limit is 0 V, since a reversed electrolytic fails. Reverse it or use a film type.`,
      source: 'maker precautions for aluminium electrolytics',
    },
  ];
}
