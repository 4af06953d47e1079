import { type Build, buildParts } from '../builds/build.ts';
import { partsOf } from '../circuits/circuit.ts';
import type { DiodeString } from '../devices/diode.ts';
import { thermalVoltage } from '../devices/physics.ts';
import type { Network, Primitive } from '../network/network.ts';
import { forwardVoltage } from '../parts/diode-curve.ts';
import { THRESHOLD_TEST_A } from '../parts/mosfets.ts';
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
 * The network with some parts, of one batch, at the same end of their spread. Forward voltage is changed by the
 * saturation current,
 *
 *   I_S' = I_S·exp(−ΔV / (n·V_T))
 *
 * which moves the whole curve and keeps its slope; the leak moves with it, more of it at the lower voltage.
 */
export function networkAtSpread(
  build: Build,
  network: Network,
  refs: readonly string[],
  end: 'low' | 'high',
): Network {
  const spreads = new Map(
    refs.flatMap((ref) => {
      const spread = partSpread(build, ref);
      return refsOf(build, ref).map((own) => [own, spread] as const);
    }),
  );
  return {
    ...network,
    primitives: network.primitives.map((primitive) => {
      const spread = primitive.origin.unit === '' ? spreads.get(primitive.origin.ref) : undefined;
      return spread ? moved(primitive, spread, spread[end], network.temperatureK) : primitive;
    }),
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
        ? withLeakScaled(withJunctionMoved(primitive, amount, temperatureK), spread, amount)
        : primitive;
    case 'currentGain':
      return primitive.kind === 'npn' || primitive.kind === 'pnp'
        ? { ...primitive, data: { ...primitive.data, forwardBeta: amount * primitive.data.forwardBeta } }
        : primitive;
    case 'thresholdV':
      return primitive.kind === 'nJfet' || primitive.kind === 'pJfet' || primitive.kind === 'nMosfet'
        ? { ...primitive, data: { ...primitive.data, thresholdV: amount * primitive.data.thresholdV } }
        : withReverseScaled(primitive, amount, THRESHOLD_TEST_A, temperatureK);
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
    case 'diode':
      return withReverseScaled(primitive, factor, ZENER_TEST_A, temperatureK);
    default:
      return primitive;
  }
}

/** A breakdown or a MOSFET's channel with its voltage at the test current times a factor; other parts as they are. */
function withReverseScaled(
  primitive: Primitive,
  factor: number,
  testA: number,
  temperatureK: number,
): Primitive {
  if (primitive.kind !== 'diode' || !isBreakdown(primitive)) return primitive;
  const volts = forwardVoltage(primitive.data, testA, temperatureK);
  return withJunctionMoved(primitive, (factor - 1) * volts, temperatureK);
}

function withJunctionMoved(diode: DiodeString, volts: number, temperatureK: number): DiodeString {
  const { data } = diode;
  const emissionV = data.emissionCoefficient * thermalVoltage(temperatureK);
  const saturationCurrentA = data.saturationCurrentA * Math.exp(-volts / emissionV);
  return { ...diode, data: { ...data, saturationCurrentA } };
}

/** A piece that drops less leaks more: its leak is multiplied as its saturation current is, by the type's factor. */
function withLeakScaled(diode: DiodeString, { leakFactor = 1 }: TypeSpread, volts: number): DiodeString {
  const { leakageS } = diode.data;
  if (leakageS === undefined) return diode;
  return {
    ...diode,
    data: { ...diode.data, leakageS: leakageS * (volts < 0 ? leakFactor : 1 / leakFactor) },
  };
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
