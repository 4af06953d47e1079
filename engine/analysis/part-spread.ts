import { type Build, buildParts } from '../builds/build.ts';
import { partsOf } from '../circuits/circuit.ts';
import type { Converter } from '../devices/converter.ts';
import type { Network, Primitive } from '../network/network.ts';
import {
  bipolarAtSpread,
  diodeAtSpread,
  fieldEffectAtSpread,
  opampAtSpread,
} from '../parts/data-at-spread.ts';
import { isSinglePiece } from '../parts/part-types.ts';
import { NO_SPREAD, type TypeSpread, typeSpread } from '../parts/type-spread.ts';

/** How pieces of the part at one reference differ. @throws RangeError if there is no such part. */
export function partSpread(build: Build, ref: string): TypeSpread {
  const part = buildParts(build.circuit).find((candidate) => candidate.ref === ref);
  const setting = build.parts[ref];
  if (!part || !setting) throw new RangeError(`the build has no part "${ref}"`);
  const isElectrolytic = (setting.dielectric ?? (part.polarised ? 'electrolytic' : '')) === 'electrolytic';
  const kind = part.kind === 'capacitor' && isElectrolytic ? 'electrolytic' : part.kind;
  if (setting.type !== undefined && isSinglePiece(setting.type)) return NO_SPREAD;
  return typeSpread(kind, setting.type ?? '');
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
  const spreads = new Map(
    refs.flatMap((ref) => {
      const spread = partSpread(build, ref);
      return refsOf(build, ref).map((own) => [own, spread] as const);
    }),
  );
  const kindOf = new Map(buildParts(build.circuit).map(({ ref, kind }) => [ref, kind]));
  return {
    ...network,
    primitives: network.primitives.map((primitive) => {
      if (primitive.origin.unit !== unit) return primitive;
      if (primitive.kind === 'converter' && primitive.pump) {
        const ofCapacitor = spreads.get(primitive.pump.ref);
        if (ofCapacitor) return pumpedAt(primitive, primitive.pump, ofCapacitor[end]);
      }
      const spread = spreads.get(primitive.origin.ref);
      if (!spread) return primitive;
      // The resistances of a capacitor fall as it grows.
      const falls = primitive.kind === 'resistor' && kindOf.get(primitive.origin.ref) === 'capacitor';
      return moved(primitive, spread, falls ? 1 / spread[end] : spread[end], network.temperatureK);
    }),
  };
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
function refsOf(build: Build, ref: string): readonly string[] {
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
      return withData(primitive, bipolarAtSpread(primitive.data, spread, amount));
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
