import { type Circuit, partsOf } from '../circuits/circuit.ts';
import type { ConverterSpec } from '../circuits/part-spec.ts';
import type { Converter } from '../devices/converter.ts';
import type { NodeName } from '../devices/node.ts';
import { ofPart, ofPiece } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import { converterEntry } from '../parts/part-types.ts';
import { chargeOhms, pumpedOutputOhms } from '../parts/pump-resistance.ts';
import { parseValue } from '../units/value-code.ts';
import type { Build, PartSetting } from './build.ts';

type OutputResistance = Pick<Converter, 'outputOhms' | 'pump'>;
interface Pumped {
  readonly ref: string;
  readonly pump: NonNullable<ConverterSpec['pump']>;
}
type NetOfPin = (pin: string) => NodeName;

/**
 * The two outputs of a converter. Where its pump capacitors are parts of the circuit, they set its output resistance, and
 * its oscillator is faster if the boost pin is joined to the supply pin. An output whose capacitor is not fitted is
 * not pumped: the first diode of the doubler then stands at the supply, and the negative output at ground
 * (the latter an estimate).
 */
export function converterPrimitives(
  build: Build,
  ref: string,
  part: ConverterSpec,
  nets: NetOfPin,
): Primitive[] {
  const entry = converterEntry(build.parts[ref]!.type!);
  const { ratios, pump } = part;
  const supply = nets(`${ref}.supply`);
  const output = (piece: string, out: NodeName, ratio: number, resistance: OutputResistance): Primitive => ({
    kind: 'converter',
    ...ofPiece(ofPart(ref), piece),
    nodes: [supply, out],
    ratio,
    ...resistance,
  });
  const doubler = (resistance: OutputResistance) =>
    output('doubler', pump ? doubledNode(ref) : nets(`${ref}.doubled`), ratios.doubled, resistance);
  const inverter = (ratio: number, resistance: OutputResistance) =>
    output('inverter', nets(`${ref}.inverted`), ratio, resistance);
  const { outputOhms } = entry;
  if (!pump) return [doubler({ outputOhms }), inverter(ratios.inverted, { outputOhms })];
  const isBoosted = nets(`${ref}.boost`) === supply;
  const pumped = (capacitor: string): OutputResistance | undefined => {
    const farads = pumpFarads(build.parts[capacitor]!);
    if (farads === undefined) return undefined;
    return {
      outputOhms: pumpedOutputOhms(entry, farads, isBoosted),
      pump: { ref: capacitor, ohms: chargeOhms(entry, farads, isBoosted) },
    };
  };
  const doubled = pumped(pump.doubler.capacitor);
  const inverted = pumped(pump.inverter.capacitor);
  return [
    ...(doubled ? [doubler(doubled)] : []),
    inverted ? inverter(ratios.inverted, inverted) : inverter(0, { outputOhms }),
  ];
}

/** Net of a pin in the averaged network: the first diode of a pumped doubler stands at the converter's output. */
export function pumpedNets(build: Build, nets: NetOfPin): NetOfPin {
  const driven = new Map(
    pumpsOf(build.circuit)
      .filter(({ pump }) => pumpFarads(build.parts[pump.doubler.capacitor]!) !== undefined)
      .map(({ ref, pump }) => [`${pump.doubler.diode}.anode`, doubledNode(ref)]),
  );
  return (pin) => driven.get(pin) ?? nets(pin);
}

/** Whether a part is a pump capacitor, which the averaged network has as an output resistance. */
export function isPumpCapacitor(circuit: Circuit, ref: string): boolean {
  return pumpsOf(circuit).some(
    ({ pump }) => pump.doubler.capacitor === ref || pump.inverter.capacitor === ref,
  );
}

/** Whether a pin of a converter is one for its pump capacitors, which the averaged network does not have. */
export function isPumpPin(pin: string): boolean {
  return pin === 'cap-plus' || pin === 'cap-minus';
}

/** What the averaged doubler drives. */
function doubledNode(ref: string): NodeName {
  return `${ref}.doubled`;
}

/** By circuit: every part of a network asks for them. */
const pumps = new WeakMap<Circuit, readonly Pumped[]>();

function pumpsOf(circuit: Circuit): readonly Pumped[] {
  const known = pumps.get(circuit);
  if (known) return known;
  const found = [...partsOf(circuit)].flatMap(([ref, { part }]) =>
    part.kind === 'converter' && part.pump ? [{ ref, pump: part.pump }] : [],
  );
  pumps.set(circuit, found);
  return found;
}

/** Undefined where no capacitor is fitted: a wire in its place pumps nothing. */
function pumpFarads({ value, piggyback, fit }: PartSetting): number | undefined {
  if (fit !== undefined) return undefined;
  return [value!, ...(piggyback === undefined ? [] : [piggyback])]
    .map((code) => parseValue(code, 'farads'))
    .reduce((sum, farads) => sum + farads, 0);
}
