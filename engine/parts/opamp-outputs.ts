import type { DatasheetPoint, OpampOutput } from './catalogue-entry.ts';

/*
 * What a load takes from the swing of each type, from the swings that its sheet gives into two loads at ±15 V:
 *
 *   R = (V₁ − V₂)/(V₂/R₂ − V₁/R₁)
 *
 * or from the volts that its sheet says are lost at two currents. Headroom in the catalogue is that into the lighter load. Limits
 * of the current are those into a short circuit. What no sheet says is an estimate from types with a like output stage.
 */

/** Supply of the sheets, V each way. */
const SHEET_V = 15;
const LIGHT_OHMS = 10e3;

const MEMORY = 'from memory';
const ROHM_4558 = 'ROHM BA4558';
const ESTIMATED_LIMIT = 'limit of the current an estimate';

interface Swings {
  /** Into the lighter and the heavier load, V. */
  readonly light: readonly [volts: number, ohms: number];
  readonly heavy: readonly [volts: number, ohms: number];
  readonly limitA: number;
  readonly source: string;
}

/** From the swing into two loads. */
function fromSwings({ light, heavy, limitA, source }: Swings): OpampOutput {
  const lightA = light[0] / light[1];
  const saturationOhms = (light[0] - heavy[0]) / (heavy[0] / heavy[1] - lightA);
  const swing: DatasheetPoint = {
    quantity: 'swingV',
    typical: heavy[0],
    at: { supplyV: 2 * SHEET_V, loadOhms: heavy[1] },
    source,
  };
  return { ...fromOhms(saturationOhms, lightA, limitA, source), points: [swing] };
}

/** From a resistance. @param headroomAtA Current at which the headrooms of the catalogue hold, A. */
function fromOhms(saturationOhms: number, headroomAtA: number, limitA: number, source: string): OpampOutput {
  return { saturationOhms, headroomAtA, sourceA: limitA, sinkA: limitA, points: [], source };
}

const [OHMS_2K, OHMS_600] = [2e3, 600];
const LIKE_TL072 = { light: [13.5, LIGHT_OHMS], heavy: [12, OHMS_2K], limitA: 40e-3 } as const;
const LIKE_4558 = { light: [14, LIGHT_OHMS], heavy: [13, OHMS_2K] } as const;
const LIKE_741 = { ...LIKE_4558, limitA: 25e-3 } as const;

/** By type; absent for LM358, whose output stage is built from junctions. */
export const OPAMP_OUTPUTS: Readonly<Record<string, OpampOutput>> = {
  RC4558: fromSwings({ ...LIKE_4558, limitA: 30e-3, source: `${ROHM_4558}, same class; ${ESTIMATED_LIMIT}` }),
  BA4558: fromSwings({ ...LIKE_4558, limitA: 30e-3, source: `${ROHM_4558}; ${ESTIMATED_LIMIT}` }),
  NJM4558: fromSwings({
    ...LIKE_4558,
    limitA: 30e-3,
    source: `NJM4558 sheet, ${MEMORY}; ${ESTIMATED_LIMIT}`,
  }),
  MC1458: fromSwings({ ...LIKE_741, source: `Philips MC1458, 1994; swing ${MEMORY}` }),
  NJM4559: fromSwings({
    ...{ light: [14, LIGHT_OHMS], heavy: [10, OHMS_600], limitA: 30e-3 },
    source: `TI SLOS074A, Dec 2024 (RC4559, its class); light load ${MEMORY}; ${ESTIMATED_LIMIT}`,
  }),
  NJM4560: fromSwings({
    ...{ ...LIKE_4558, limitA: 50e-3 },
    source: `ROHM BA4560 (its class), second load taken as 2 k; ${ESTIMATED_LIMIT}`,
  }),
  TA75558: fromSwings({ ...LIKE_4558, limitA: 30e-3, source: `as RC4558, estimate` }),
  NE5532: fromOhms(30, 13 / OHMS_600, 38e-3, `TI SLOS075 (NE5532), ${MEMORY}; resistance an estimate`),
  NE5534: fromOhms(30, 13 / OHMS_600, 38e-3, `TI NE5534 sheet, ${MEMORY}; resistance an estimate`),
  NJM4580: fromOhms(40, 13.5 / OHMS_2K, 50e-3, 'estimate'),
  LM833: fromSwings({
    ...{ light: [13.5, LIGHT_OHMS], heavy: [13.4, OHMS_2K], limitA: 37e-3 },
    source: `LM833 sheet, ${MEMORY}`,
  }),
  OP275: fromOhms(40, 13.9 / OHMS_2K, 40e-3, 'estimate'),
  NJM2068: fromOhms(100, 13.5 / LIGHT_OHMS, 40e-3, 'estimate'),
  LM4562: fromSwings({
    ...{ light: [14, OHMS_2K], heavy: [13.6, OHMS_600], limitA: 50e-3 },
    source: `TI SNAS326K; limit of the current ${MEMORY}`,
  }),
  MC33078: {
    ...fromOhms(55, 14.3 / LIGHT_OHMS, 29e-3, `MC33078 sheet, ${MEMORY}`),
    sinkA: 37e-3,
  },
  TL072: fromSwings({ ...LIKE_TL072, source: 'ST TL072' }),
  TL082: fromSwings({ ...LIKE_TL072, source: `ST TL082, ${MEMORY}` }),
  TL062: fromSwings({ ...LIKE_TL072, limitA: 15e-3, source: 'as TL072, estimate' }),
  LF353: fromSwings({ ...LIKE_TL072, limitA: 25e-3, source: 'as TL072, estimate' }),
  OPA2134: fromOhms(90, 13.8 / LIGHT_OHMS, 40e-3, `OPA2134 sheet, ${MEMORY}`),
  OPA2604: fromOhms(50, 13 / LIGHT_OHMS, 40e-3, `OPA2604 sheet, ${MEMORY}`),
  TL072H: fromOhms(50, 14.85 / LIGHT_OHMS, 26e-3, `TI SLOS080T, ${MEMORY}`),
  AD712: fromOhms(100, 13.9 / OHMS_2K, 25e-3, `AD712 sheet, ${MEMORY}; resistance an estimate`),
  // Their sheets give volts lost at currents: 0.35 V at 1 mA, 25 mV into 10 kΩ on 5.5 V.
  TLC2262: fromOhms(350, 0, 10e-3, `TI SLOS177, ${MEMORY}; ${ESTIMATED_LIMIT}`),
  TLC2272: fromOhms(300, 0, 20e-3, `TI SLOS190 (TLC2272), ${MEMORY}; ${ESTIMATED_LIMIT}`),
  MCP6002: fromOhms(90, 0.275e-3, 23e-3, `Microchip MCP6002 sheet, ${MEMORY}`),
  TLC272: fromOhms(300, 0, 15e-3, 'estimate'),
  LM741: fromSwings({ ...LIKE_741, source: 'TI SNOSC25C' }),
  LM308A: fromOhms(600, 14 / LIGHT_OHMS, 5e-3, 'estimate'),
  OP07E: fromSwings({
    ...{ light: [13, LIGHT_OHMS], heavy: [12, 1e3], limitA: 25e-3 },
    source: `ADI OP07, ${MEMORY}; ${ESTIMATED_LIMIT}`,
  }),
  TL071: fromSwings({ ...LIKE_TL072, source: 'ST TL072, its dual' }),
};
