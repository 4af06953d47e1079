import { refText } from '../builds/alias.ts';
import type { Build } from '../builds/build.ts';
import { isOutputLoose, withLeakingCapacitors } from '../builds/leakage.ts';
import { netsOf, networkInPosition, networkOf } from '../builds/network-of-build.ts';
import { type FootswitchPosition, partsOf } from '../circuits/circuit.ts';
import { GROUND_NET, OUTPUT_NET } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { pruneNetwork } from '../network/prune.ts';
import { catalogueTypeOf, converterEntry, opampEntry } from '../parts/part-types.ts';
import { TRANSISTOR_LIMITS } from '../parts/transistor-limits.ts';
import { operatingPoint } from '../solver/operating-point.ts';
import { quantityText } from '../units/quantity-text.ts';

/** A part of the build that is over its limit, or whose absence makes the pedal pop. */
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
 * limit, a transistor whose supply is more than it stands, an electrolytic capacitor with reversed voltage; and an output without a pull-down.
 *
 * @param temperatureK Of the bench. @throws NetworkError, OperatingPointError.
 */
export function buildWarnings(build: Build, temperatureK: number): readonly BuildWarning[] {
  const { volts } = operatingPoint(pruneNetwork(networkOf(build, temperatureK)));
  const circuit = fittedCircuit(build);
  const netOf = netsOf(build);
  const at = (pin: string): number => volts.get(netOf(pin)) ?? 0;
  const railsV = circuit.rails.map((rail) => at(`:${rail}`));
  const supplySpanV = Math.max(0, ...railsV) - Math.min(0, ...railsV);
  const warnings = [...partsOf(circuit)].flatMap(([ref, { part }]): BuildWarning[] => {
    const setting = build.parts[part.kind === 'opamp' ? part.package : ref];
    if (!setting || setting.fit !== undefined) return [];
    switch (part.kind) {
      case 'converter':
        return converterWarning(ref, setting.type!, at(`${ref}.supply`));
      case 'opamp':
        return opampWarning(part.package, setting.type!, at(`${ref}.positive`) - at(`${ref}.negative`));
      case 'npn':
      case 'pnp':
      case 'nJfet':
      case 'pJfet':
      case 'nMosfet':
        return transistorWarning(ref, setting.type!, supplySpanV);
      case 'capacitor':
        return part.polarised ? polarityWarning(ref, at(`${ref}.1`) - at(`${ref}.2`)) : [];
      default:
        return [];
    }
  });
  // Both amplifiers of a package have the same supply pins.
  const single = warnings.filter(
    ({ ref }, index) => warnings.findIndex((other) => other.ref === ref) === index,
  );
  return [...single, ...looseOutputWarnings(build, temperatureK)];
}

/** Outputs that only leakage ties to ground, in either position of the footswitch. */
function looseOutputWarnings(build: Build, temperatureK: number): BuildWarning[] {
  const hasTwo = build.circuit.bypass.footswitch && build.bypass !== 'transistor-switched';
  const positions: readonly FootswitchPosition[] = hasTwo ? ['on', 'bypassed'] : ['on'];
  return positions.flatMap((position) => looseOutputWarning(build, position, temperatureK));
}

/** While the footswitch is in its other position, the coupling capacitor charges an output without a pull-down. */
function looseOutputWarning(
  build: Build,
  position: FootswitchPosition,
  temperatureK: number,
): BuildWarning[] {
  const network = networkInPosition(build, position, temperatureK);
  if (!isOutputLoose(network)) return [];
  const { volts } = operatingPoint(pruneNetwork(withLeakingCapacitors(network, build)));
  const charged = Math.abs(volts.get(network.output) ?? 0);
  const ref = missingPullDown(build, position) ?? '';
  const missing = ref === '' ? '' : `: ${refText(build, ref)} is not fitted`;
  const remedy = ref === '' ? 'Fit a resistor from the output to ground' : `Fit ${refText(build, ref)}`;
  return [
    {
      ref,
      message: `The output has no pull-down${missing}. Leakage charges it to ${quantityText(charged, 'V')} at most, and it pops when ${POPS_WHEN[build.bypass === 'transistor-switched' ? 'plugged' : position]}. ${remedy}.`,
      source: 'capacitors leak as much as their data sheets allow, the jack has 100 MΩ (estimate)',
    },
  ];
}

const POPS_WHEN = {
  on: 'the effect is switched on',
  bypassed: 'the pedal is bypassed',
  plugged: 'a cable is plugged in',
} as const;

/** The resistor between output and ground that is not fitted. */
function missingPullDown(build: Build, position: FootswitchPosition): string | undefined {
  const netOf = netsOf(build, position);
  const isAt = (ref: string, net: string) => [1, 2].some((pin) => netOf(`${ref}.${pin}`) === net);
  const found = [...partsOf(fittedCircuit(build))].find(
    ([ref, { part }]) =>
      part.kind === 'resistor' &&
      build.parts[ref]?.fit === 'open' &&
      isAt(ref, OUTPUT_NET) &&
      isAt(ref, GROUND_NET),
  );
  return found?.[0];
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

/** A transistor that a loud signal switches off sees all of the supply, whatever it has at rest. */
function transistorWarning(ref: string, type: string, volts: number): BuildWarning[] {
  const limit = TRANSISTOR_LIMITS.get(catalogueTypeOf(type));
  if (!limit || volts <= limit.volts) return [];
  const { source, across } = limit;
  return overLimit(ref, type, {
    volts,
    limitV: limit.volts,
    limit: `its limit of ${limit.volts} V ${across}`,
    source,
  });
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
