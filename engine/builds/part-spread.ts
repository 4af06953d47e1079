import { type Circuit, partsOf } from '../circuits/circuit.ts';
import type { Converter } from '../devices/converter.ts';
import type { Network, Primitive } from '../network/network.ts';
import {
  bipolarAtSpread,
  diodeAtSpread,
  fieldEffectAtSpread,
  opampAtSpread,
} from '../parts/data-at-spread.ts';
import { isSinglePiece } from '../parts/part-types.ts';
import { NO_SPREAD, type TypeSpread, typeSpread, valueSpread } from '../parts/type-spread.ts';
import { type Build, type BuildPart, buildParts, type PartSetting } from './build.ts';
import type { Tolerances } from './parts-set.ts';

/** How pieces of the part at one reference differ. @throws RangeError if there is no such part. */
export function partSpread(build: Build, ref: string): TypeSpread {
  const part = buildParts(build.circuit).find((candidate) => candidate.ref === ref);
  const setting = build.parts[ref];
  if (!part || !setting) throw new RangeError(`the build has no part "${ref}"`);
  if (setting.type !== undefined && isSinglePiece(setting.type)) return NO_SPREAD;
  return settingSpread(part, setting);
}

/** The same for what stands, or could stand, at a part. @param tolerances In place of the usual ones of values. */
export function settingSpread(
  { kind, polarised }: Pick<BuildPart, 'kind' | 'polarised'>,
  { type = '', dielectric }: PartSetting,
  tolerances: Tolerances = {},
): TypeSpread {
  if (kind === 'resistor' && tolerances.resistor !== undefined) return valueSpread(tolerances.resistor);
  if (kind !== 'capacitor') return typeSpread(kind, type);
  const made = dielectric ?? (polarised ? 'electrolytic' : 'film');
  if (made === 'electrolytic') return typeSpread('electrolytic', type);
  if (tolerances.capacitor !== undefined) return valueSpread(tolerances.capacitor);
  return typeSpread(made === 'C0G' ? 'closeCapacitor' : made === 'X5R-small' ? 'wideCapacitor' : kind, type);
}

/**
 * The network with some parts, of one batch, at the same end of their spread.
 *
 * @param unit Of the build's parts in this network: see `unitAt`.
 */
export function networkAtSpread(
  build: Build,
  network: Network,
  refs: readonly string[],
  end: 'low' | 'high',
  unit = '',
): Network {
  const moves = new Map(
    refs.flatMap((ref) => {
      const spread = partSpread(build, ref);
      return refsOf(build, ref).map((own): [string, PartMove] => [own, { ref, spread, amount: spread[end] }]);
    }),
  );
  return {
    ...network,
    primitives: network.primitives.map((primitive) => {
      if (primitive.origin.unit !== unit) return primitive;
      const pump = primitive.kind === 'converter' ? primitive.pump?.ref : undefined;
      const move = moves.get(pump ?? '') ?? moves.get(primitive.origin.ref);
      return move ? movedPrimitive(build, primitive, move, network.temperatureK) : primitive;
    }),
  };
}

/** What moves a part: a quantity of it, by an amount as in `TypeSpread`. */
export interface PartMove {
  readonly ref: string;
  readonly spread: TypeSpread;
  readonly amount: number;
}

/** A primitive of a part, or a converter that the part pumps, with the part's quantity moved. */
export function movedPrimitive(
  { circuit }: Build,
  primitive: Primitive,
  { ref, spread, amount }: PartMove,
  temperatureK: number,
): Primitive {
  if (primitive.kind === 'converter' && primitive.pump?.ref === ref)
    return pumpedAt(primitive, primitive.pump, amount);
  // The resistances of a capacitor fall as it grows.
  const falls = primitive.kind === 'resistor' && isCapacitor(circuit, ref);
  return moved(primitive, spread, falls ? 1 / amount : amount, temperatureK);
}

function isCapacitor(circuit: Circuit, ref: string): boolean {
  return circuit.stages.some(({ parts }) => parts[ref]?.kind === 'capacitor');
}

/** A converter whose pump capacitor is so many times as large: the resistance of its charge falls. */
function pumpedAt(converter: Converter, pump: NonNullable<Converter['pump']>, amount: number): Converter {
  const ohms = pump.ohms / amount;
  return {
    ...converter,
    outputOhms: converter.outputOhms - pump.ohms + ohms,
    pump: { ...pump, ohms },
  };
}

/** Designators in the network; for a package those of its amplifiers. */
export function refsOf(build: Build, ref: string): readonly string[] {
  const amplifiers = [...partsOf(build.circuit)].flatMap(([name, { part }]) =>
    part.kind === 'opamp' && part.package === ref ? [name] : [],
  );
  return amplifiers.length > 0 ? amplifiers : [ref];
}

function moved(primitive: Primitive, spread: TypeSpread, amount: number, temperatureK: number): Primitive {
  switch (primitive.kind) {
    case 'diode':
      return withData(primitive, diodeAtSpread(primitive.data, spread, amount, temperatureK));
    case 'npn':
    case 'pnp':
      return withData(primitive, bipolarAtSpread(primitive.data, spread, amount, temperatureK));
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet':
      return withData(primitive, fieldEffectAtSpread(primitive.data, spread, amount));
    case 'opamp':
      return withData(primitive, opampAtSpread(primitive.data, spread, amount));
    case 'converter':
      return spread.quantity === 'outputOhms'
        ? { ...primitive, outputOhms: amount * primitive.outputOhms }
        : primitive;
    default:
      return spread.quantity === 'value' ? withValue(primitive, amount) : primitive;
  }
}

/** The same primitive where the data is the same. */
function withData<P extends Primitive & { readonly data: object }>(primitive: P, data: P['data']): P {
  return data === primitive.data ? primitive : { ...primitive, data };
}

function withValue(primitive: Primitive, factor: number): Primitive {
  switch (primitive.kind) {
    case 'resistor':
      return { ...primitive, ohms: factor * primitive.ohms };
    case 'capacitor':
      return { ...primitive, farads: factor * primitive.farads };
    case 'inductor':
      return { ...primitive, henries: factor * primitive.henries };
    case 'voltageSource':
      return { ...primitive, volts: factor * primitive.volts };
    default:
      return primitive;
  }
}
