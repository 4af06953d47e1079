import type { BjtData } from '../devices/bipolar.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../devices/physics.ts';
import type {
  BjtEntry,
  DatasheetPoint,
  DiodeEntry,
  FetEntry,
  OpampEntry,
  PointConditions,
  PointQuantity,
} from './catalogue-entry.ts';
import { reverseCurrent, reverseVoltage, typeForwardVoltage } from './diode-curve.ts';

/** A type with data and points; converters have neither. */
export type DatedEntry = DiodeEntry | BjtEntry | FetEntry | OpampEntry;
type Point = Pick<DatasheetPoint, 'quantity' | 'at'>;

/** What the data of a type gives for a point of its sheet, at 27 °C; undefined for what the model has no number for. */
export function modelFigure(entry: DatedEntry, point: Point): number | undefined {
  switch (entry.kind) {
    case 'diode':
      return diodeFigure(entry, point);
    case 'npn':
    case 'pnp':
      return bipolarFigure(entry, point);
    case 'opamp':
      return opampFigure(entry, point);
    default:
      return fieldEffectFigure(entry, point);
  }
}

function diodeFigure(entry: DiodeEntry, { quantity, at }: Point): number | undefined {
  const { data, chain } = entry;
  if (quantity === 'forwardVoltageV' && at.forwardA !== undefined)
    return typeForwardVoltage(entry, at.forwardA, NOMINAL_TEMPERATURE_K);
  if (chain) return undefined;
  if (quantity === 'capacitanceF' && at.reverseV === 0) return data.zeroBiasCapacitanceF;
  if (quantity === 'reverseCurrentA' && at.reverseV !== undefined) return leak(entry, at.reverseV);
  return reverseFigure(entry, quantity, at);
}

/** Of a two-way type, from cathode to anode. */
function reverseFigure(
  { reverse }: DiodeEntry,
  quantity: PointQuantity,
  { reverseA, drainA }: PointConditions,
): number | undefined {
  if (reverse === undefined) return undefined;
  const voltsAt = (amps: number) => reverseVoltage(reverse, amps, NOMINAL_TEMPERATURE_K);
  if (quantity === 'gateThresholdV' && drainA !== undefined) return voltsAt(drainA);
  if (reverseA === undefined) return undefined;
  if (quantity === 'zenerV') return voltsAt(reverseA);
  if (quantity === 'differentialOhms')
    return (voltsAt(1.01 * reverseA) - voltsAt(0.99 * reverseA)) / (0.02 * reverseA);
  return undefined;
}

/** Of the forward junction, and of the breakdown if it has one. */
function leak({ data, reverse }: DiodeEntry, reverseV: number): number {
  const own = reverseCurrent(data, reverseV, NOMINAL_TEMPERATURE_K);
  if (reverse?.by !== 'breakdown') return own;
  const amps = reverse.data.saturationCurrentA;
  const emissionV = reverse.data.emissionCoefficient * thermalVoltage(NOMINAL_TEMPERATURE_K);
  return own + amps * Math.expm1(reverseV / emissionV);
}

/** The network's current gain does not depend on the current, but what leaks into the base counts; v_BE is without Early effect. */
function bipolarFigure({ data, driver }: BjtEntry, { quantity, at }: Point): number | undefined {
  switch (quantity) {
    case 'currentGain':
      return currentGain(data, driver, at.collectorA);
    case 'baseEmitterV':
      return at.collectorA === undefined ? undefined : baseEmitterV(data, driver, at.collectorA);
    case 'collectorLeakageA':
      // Emitter open, I_CBO; what the junction to the emitter adds is 1/(1 + β_F) of I_S.
      return blockedCollectorA(data) + data.saturationCurrentA / (data.forwardBeta + 1);
    default:
      return undefined;
  }
}

/** What the blocked junction to the collector passes into the base, I_S/β_R + I_L, A. */
export function blockedCollectorA({ saturationCurrentA, reverseBeta, collectorLeak }: BjtData): number {
  return saturationCurrentA / reverseBeta + (collectorLeak?.saturationA ?? 0);
}

/** What passes from collector to emitter with the base open, I_CEO = (β_F + 1)·I_CBO, A. */
export function openBaseLeakA(data: BjtData): number {
  return (data.forwardBeta + 1) * blockedCollectorA(data) + data.saturationCurrentA;
}

/** Collector current over the base current that the leak leaves to be fed: I_C = β_F·I_B + I_CEO. */
function currentGain(data: BjtData, driver: BjtData | undefined, collectorA?: number): number {
  if (driver) return (data.forwardBeta + 1) * (driver.forwardBeta + 1) - 1;
  if (collectorA === undefined) return data.forwardBeta;
  return (data.forwardBeta * collectorA) / (collectorA - openBaseLeakA(data));
}

/** Of a Darlington both junctions, the first with the base current of the second. */
function baseEmitterV(data: BjtData, driver: BjtData | undefined, collectorA: number): number {
  const thermalV = thermalVoltage(NOMINAL_TEMPERATURE_K);
  const own = thermalV * Math.log1p(collectorA / data.saturationCurrentA);
  if (!driver) return own;
  return own + thermalV * Math.log1p(collectorA / data.forwardBeta / driver.saturationCurrentA);
}

/** Saturation: β·V_to²·(1 + λ·v_DS), and its derivative by the gate voltage, 2·β·|V_to|·(1 + λ·v_DS). */
function fieldEffectFigure({ kind, data }: FetEntry, { quantity, at }: Point): number | undefined {
  const { betaAPerV2, thresholdV, lambdaPerV } = data;
  const lengthening = 1 + lambdaPerV * (at.drainV ?? 0);
  switch (quantity) {
    case 'gateCutoffV':
      // Sheets of P-channel types print the gate voltage with its sign.
      return kind === 'pJfet' ? -thresholdV : thresholdV;
    case 'gateThresholdV':
      return at.drainA === undefined ? undefined : thresholdV + Math.sqrt(at.drainA / betaAPerV2);
    case 'zeroBiasDrainA':
      return betaAPerV2 * thresholdV ** 2 * lengthening;
    case 'transconductanceS':
      return -2 * betaAPerV2 * thresholdV * lengthening;
    default:
      return undefined;
  }
}

function opampFigure(entry: OpampEntry, { quantity, at }: Point): number | undefined {
  const { data, maxSupplyV } = entry;
  switch (quantity) {
    case 'gainBandwidthHz':
      return data.gainBandwidthHz;
    case 'slewVPerS':
      return data.slewVPerS;
    case 'openLoopGain':
      return data.openLoopGain;
    // Sheets print magnitudes.
    case 'inputBiasA':
      return Math.abs(data.inputBiasA);
    case 'quiescentA':
      return data.quiescentA;
    case 'supplyV':
      return maxSupplyV;
    case 'swingV':
      return opampSwingV(entry, (at.supplyV ?? 0) / 2, at.loadOhms);
    default:
      return undefined;
  }
}

/**
 * Swing of an op-amp's output upwards from half of its supply, V: V = (V_supply − h)·R_L/(R_L + R), with the headroom h without
 * a load. @param loadOhms R_L; absent: the lighter load of its sheet.
 */
export function opampSwingV(
  { data, output }: Pick<OpampEntry, 'data' | 'output'>,
  halfSupplyV: number,
  loadOhms?: number,
): number {
  if (!output || loadOhms === undefined) return halfSupplyV - data.headroomHighV;
  const { saturationOhms, headroomAtA } = output;
  const bareV = halfSupplyV - data.headroomHighV + saturationOhms * headroomAtA;
  return (bareV * loadOhms) / (loadOhms + saturationOhms);
}
