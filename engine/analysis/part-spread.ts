import { type Build, buildParts } from '../builds/build.ts';
import { partsOf } from '../circuits/circuit.ts';
import type { DiodeString } from '../devices/diode.ts';
import { thermalVoltage } from '../devices/physics.ts';
import type { Network, Primitive } from '../network/network.ts';
import { forwardVoltage } from '../parts/diode-curve.ts';
import { type TypeSpread, typeSpread } from '../parts/type-spread.ts';

/** Current at which makers state a Zener voltage, A. @see BZX79C table */
const ZENER_TEST_A = 5e-3;

/** How pieces of the part at one reference differ. @throws RangeError if there is no such part. */
export function partSpread(build: Build, ref: string): TypeSpread {
  const part = buildParts(build.circuit).find((candidate) => candidate.ref === ref);
  const setting = build.parts[ref];
  if (!part || !setting) throw new RangeError(`the build has no part "${ref}"`);
  const kind = part.kind === 'capacitor' && part.polarised ? 'electrolytic' : part.kind;
  return typeSpread(kind, setting.type ?? '');
}

/**
 * The network with one part at an end of its spread. Forward voltage is changed by the saturation current,
 *
 *   I_S' = I_S·exp(−ΔV / (n·V_T))
 *
 * which moves the whole curve and keeps its slope.
 */
export function networkAtSpread(build: Build, network: Network, ref: string, end: 'low' | 'high'): Network {
  const spread = partSpread(build, ref);
  const own = refsOf(build, ref);
  const amount = spread[end];
  return {
    ...network,
    primitives: network.primitives.map((primitive) =>
      primitive.origin.unit === '' && own.includes(primitive.origin.ref)
        ? moved(primitive, spread, amount, network.temperatureK)
        : primitive,
    ),
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
  switch (spread.quantity) {
    case 'value':
      return withValue(primitive, amount, temperatureK);
    case 'forwardVoltageV':
      return primitive.kind === 'diode' && !isBreakdown(primitive)
        ? withJunctionMoved(primitive, amount, temperatureK)
        : primitive;
    case 'currentGain':
      return primitive.kind === 'npn' || primitive.kind === 'pnp'
        ? { ...primitive, data: { ...primitive.data, forwardBeta: amount * primitive.data.forwardBeta } }
        : primitive;
    case 'thresholdV':
      return primitive.kind === 'nJfet' || primitive.kind === 'pJfet' || primitive.kind === 'nMosfet'
        ? { ...primitive, data: { ...primitive.data, thresholdV: amount * primitive.data.thresholdV } }
        : primitive;
    case 'speed':
      return primitive.kind === 'opamp' ? withSpeed(primitive, amount) : primitive;
    case 'outputOhms':
      return primitive.kind === 'converter'
        ? { ...primitive, outputOhms: amount * primitive.outputOhms }
        : primitive;
  }
}

function withValue(primitive: Primitive, factor: number, temperatureK: number): Primitive {
  switch (primitive.kind) {
    case 'resistor':
      return { ...primitive, ohms: factor * primitive.ohms };
    case 'capacitor':
      return { ...primitive, farads: factor * primitive.farads };
    case 'inductor':
      return { ...primitive, henries: factor * primitive.henries };
    case 'voltageSource':
      return { ...primitive, volts: factor * primitive.volts };
    case 'diode': {
      if (!isBreakdown(primitive)) return primitive;
      const zenerV = forwardVoltage(primitive.data, ZENER_TEST_A, temperatureK);
      return withJunctionMoved(primitive, (factor - 1) * zenerV, temperatureK);
    }
    default:
      return primitive;
  }
}

function withJunctionMoved(
  diode: Extract<Primitive, { kind: 'diode' }>,
  volts: number,
  temperatureK: number,
): Primitive {
  const { data } = diode;
  const emissionV = data.emissionCoefficient * thermalVoltage(temperatureK);
  const saturationCurrentA = data.saturationCurrentA * Math.exp(-volts / emissionV);
  return { ...diode, data: { ...data, saturationCurrentA } };
}

function withSpeed(opamp: Extract<Primitive, { kind: 'opamp' }>, factor: number): Primitive {
  const { gainBandwidthHz, slewVPerS } = opamp.data;
  const data = { ...opamp.data, gainBandwidthHz: factor * gainBandwidthHz, slewVPerS: factor * slewVPerS };
  return { ...opamp, data };
}

/** A junction for the reverse conduction of its part. */
function isBreakdown({ data }: DiodeString): boolean {
  return data.thermal?.by === 'breakdown';
}
