import type { OpampNoise } from '../devices/opamp-data.ts';
import { ELEMENTARY_CHARGE_C } from '../devices/physics.ts';
import type { BjtEntry, OpampEntry } from './catalogue-entry.ts';

/** Noise of an op-amp type from its datasheet; if the sheet gives no current noise, it is the shot noise of the bias current. */
interface SheetNoise {
  readonly voltageAt1kHzVPerRtHz: number;
  readonly voltageCornerHz: number;
  readonly currentAt1kHzAPerRtHz?: number;
  readonly currentCornerHz?: number;
  readonly source: string;
}

/*
 * Corners follow from two figures of a sheet where it has them (NE5532: 8 nV at 30 Hz and 5 nV at 1 kHz make
 * 51 Hz), else they are from memory of the type's curve.
 */
const OPAMP_NOISE: Readonly<Record<string, SheetNoise>> = {
  RC4558: noise(8, 100, 'older TI RC4558 sheet, from memory; corner from memory'),
  BA4558: noise(12, 100, 'ROHM BA4558, from memory; corner from memory'),
  NJM4558: noise(8, 100, 'same class as RC4558, from memory'),
  MC1458: noise(45, 100, 'MC1458 sheet, from memory'),
  LM358: noise(40, 100, 'TI SLOS068V; corner from memory'),
  NE5532: noise(5, 51, 'TI SLOS075 (NE5532), from memory', 0.7, 754),
  NJM4580: noise(5, 50, 'from 0.8 µV of its sheet over the RIAA curve, from memory'),
  LM833: noise(4.5, 40, 'LM833 sheet, from memory', 0.5, 400),
  OP275: noise(6, 11, 'OP275 sheet, from memory', 1.5, 100),
  TL072: noise(15, 100, 'ST TL072 (TI SLOS080D: 18 nV); corner and current from memory', 0.01, 1),
  TL082: noise(18, 100, 'TL082 sheet, from memory', 0.01, 1),
  TL062: noise(42, 100, 'TL062 sheet, from memory', 0.01, 1),
  LF353: noise(16, 100, 'LF353 sheet, from memory', 0.01, 1),
  OPA2134: noise(8, 50, 'OPA2134 sheet, from memory', 0.003, 1),
  OPA2604: noise(11, 44, 'OPA2604 sheet, from memory', 0.004, 1),
  TLC2262: noise(12, 114, 'TI SLOS177D; corner from its 40 nV at 10 Hz and current from memory', 0.0006, 1),
  TLC2272: noise(9, 432, 'TLC2272 sheet, from memory', 0.0006, 1),
  MCP6002: noise(28, 200, 'MCP6002 sheet, from memory', 0.0006, 1),
  NJM4559: noise(8, 100, '4558 class, from memory'),
  NJM4560: noise(8, 100, 'ROHM BA4560Yxxx-M rev 001; corner from memory'),
  TA75558: noise(10, 100, '4558 class, from memory'),
  NJM2068: noise(4.5, 50, 'from 0.56 µV of its sheet over the RIAA curve, from memory'),
  LM4562: noise(2.7, 60, 'TI SNAS326K; current: D. Self; corner from memory', 1.6, 100),
  MC33078: noise(4.5, 50, 'ST MC33078 rev 5; current from memory', 0.5, 100),
  TL072H: noise(18, 100, 'TL07xH sheet, from memory', 0.01, 1),
  AD712: noise(18, 50, 'AD712 sheet, from memory', 0.01, 1),
  TLC272: noise(25, 100, 'TI SLOS091E; corner and current from memory', 0.0006, 1),
  NE5534: noise(4, 40, 'TI NE5534 sheet, from memory', 0.6, 200),
  TL071: noise(15, 100, 'as TL072', 0.01, 1),
  LM741: noise(23, 100, 'curves of the 741 type, from memory', 0.5, 1000),
  LM308A: noise(35, 20, 'curves of the 308 type, from memory'),
  OP07E: noise(9.6, 1.5, 'OP07 sheet, from memory', 0.12, 66),
};

/** Base resistance in ohms. Only the 2SC1815 sheet gives it; the others are from published tables of measurements, from memory. */
const BASE_OHMS: Readonly<Record<string, number>> = {
  '2N3904': 110,
  '2N5088': 300,
  BC549C: 170,
  MPSA18: 650,
  '2SC1815': 50,
  BC547B: 170,
  BC108: 200,
  '2N2222': 60,
  '2N3906': 60,
  AC128: 60,
  OC44: 100,
  // Estimates: as OC44 and AC128.
  '2N404': 100,
  '2N1305': 100,
  AC125: 60,
  AC126: 60,
  '2N5089': 300,
  '2SC945': 100,
  BC550C: 170,
  MPSA13: 200,
};

/** Noise of a type; undefined if it is not known. */
export function opampNoise({ type, like = type, data }: OpampEntry): OpampNoise | undefined {
  const sheet = OPAMP_NOISE[like];
  if (!sheet) return undefined;
  const { voltageAt1kHzVPerRtHz, voltageCornerHz, currentCornerHz = 0 } = sheet;
  const shot = Math.sqrt(2 * ELEMENTARY_CHARGE_C * Math.abs(data.inputBiasA));
  const currentAt1kHzAPerRtHz = sheet.currentAt1kHzAPerRtHz ?? shot;
  return { voltageAt1kHzVPerRtHz, voltageCornerHz, currentAt1kHzAPerRtHz, currentCornerHz };
}

/** Where the noise of an op-amp type comes from: document, or "from memory". */
export function opampNoiseSource(type: string): string | undefined {
  return OPAMP_NOISE[type]?.source;
}

/** Base resistance of a type; undefined if it is not known. */
export function baseOhms({ type, like = type }: BjtEntry): number | undefined {
  return BASE_OHMS[like];
}

/** In the units of a datasheet: nV/√Hz and pA/√Hz at 1 kHz, corners in Hz. */
function noise(
  nanovolts: number,
  voltageCornerHz: number,
  source: string,
  picoamps?: number,
  currentCornerHz = 0,
): SheetNoise {
  const voltage = { voltageAt1kHzVPerRtHz: nanovolts * 1e-9, voltageCornerHz, source };
  return picoamps === undefined
    ? voltage
    : { ...voltage, currentAt1kHzAPerRtHz: picoamps * 1e-12, currentCornerHz };
}
