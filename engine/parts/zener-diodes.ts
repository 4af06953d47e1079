import type { DiodeEntry } from './catalogue-entry.ts';
import { estimatedCurve } from './curve-points.ts';
import { fitJunction } from './junction-fit.ts';
import { card, forwardPoint } from './model-card.ts';

/*
 * Below about 5 V a Zener breaks down by tunnelling, with a soft knee: the current rises by e for each
 * 0.3 V or so. An exponential fits that from 0.1 to 10 mA, so breakdown is a junction turned round:
 *
 *   i = I_S·(exp(v/w) − 1),   I_S = 5 mA·exp(−(V_Z − 5 mA·R_S)/w),   differential resistance w/i + R_S
 *
 * w and R_S are those of the typical differential resistances at 1 and 5 mA; where these leave no positive
 * R_S, w is the geometric mean of what either asks for alone. Temperature is 27 °C, as in all cards; with it the
 * curve moves by the typical coefficient of the BZX79 sheet, from memory.
 */
const BZX79C = 'BZX79C table';
const BZX79_MEMORY = 'BZX79 sheet, from memory';
const TEST_A = 5e-3;
/** No model card at hand: forwards it is modelled as a switching diode (onsemi card 1N4148). */
const FORWARD = { saturationA: 2.52e-9, emission: 1.752, ohms: 0.568 };
/** Typical capacitance as a share of what the sheet allows: an estimate, since it gives no typical figure. */
const TYPICAL_CAPACITANCE = 2 / 3;

/** Silicon; an estimate. Transit is left out: that of small diodes, below 50 ns, changes an output by less than -65 dB. */
const CHARGE = { builtInV: 0.75, transitSeconds: 0 };

interface Zener {
  readonly type: string;
  readonly volts: number;
  readonly minimumV: number;
  readonly maximumV: number;
  /** Typical differential resistance at 1 and at 5 mA, ohm, and what the sheet allows at 5 mA. */
  readonly ohmsAt1mA: number;
  readonly ohmsAt5mA: number;
  readonly maximumOhms: number;
  /** Largest reverse current, A, at a reverse voltage, V. */
  readonly leakA: number;
  readonly leakV: number;
  /** Typical temperature coefficient of the voltage at 5 mA. */
  readonly voltsPerK: number;
  /** The datasheet's maximum at 0 V, since it gives no typical value. */
  readonly farads: number;
}

function zener(sheet: Zener): DiodeEntry {
  const { type, volts, minimumV, maximumV, maximumOhms, leakA, leakV, farads } = sheet;
  const { efoldV, seriesOhms } = knee(sheet.ohmsAt1mA, sheet.ohmsAt5mA);
  return {
    type,
    kind: 'diode',
    family: 'Zener',
    title: `Zener diode, ${volts} V: conducts both ways`,
    status: 'current',
    data: {
      ...card(FORWARD.saturationA, FORWARD.emission, FORWARD.ohms, TYPICAL_CAPACITANCE * farads),
      charge: CHARGE,
    },
    reverse: {
      by: 'breakdown',
      data: fitJunction({
        voltsPerDecade: efoldV * Math.LN10,
        seriesOhms,
        zeroBiasCapacitanceF: 0,
        points: [{ currentA: TEST_A, voltageV: volts }],
        thermal: { by: 'breakdown', voltsPerK: sheet.voltsPerK },
      }),
    },
    dataSource: `breakdown: fit to the nominal voltage at 5 mA and to typical differential resistances at 1 and 5 mA, ${BZX79_MEMORY}; forward junction: card 1N4148, no card of its own; capacitance: estimate, two thirds of the sheet's maximum, from memory, and its built-in voltage 0.75 V`,
    limits: [
      { quantity: 'zenerV', minimum: minimumV, maximum: maximumV, at: { reverseA: TEST_A }, source: BZX79C },
      { quantity: 'differentialOhms', maximum: maximumOhms, at: { reverseA: TEST_A }, source: BZX79C },
      { quantity: 'reverseCurrentA', maximum: leakA, at: { reverseV: leakV }, source: BZX79_MEMORY },
      { quantity: 'capacitanceF', maximum: farads, at: { reverseV: 0 }, source: BZX79_MEMORY },
      forwardPoint(10e-3, { maximum: 0.9 }, BZX79_MEMORY),
      ...estimatedCurve([0.376, 0.48, 0.585, 0.694], 0.03),
    ],
    knownMisses: [],
  };
}

/** w in V and R_S in ohm from the differential resistances at 1 and 5 mA. */
function knee(ohmsAt1mA: number, ohmsAt5mA: number): { efoldV: number; seriesOhms: number } {
  const efoldV = (ohmsAt1mA - ohmsAt5mA) / (1 / 1e-3 - 1 / 5e-3);
  const seriesOhms = ohmsAt5mA - efoldV / 5e-3;
  if (seriesOhms >= 0) return { efoldV, seriesOhms };
  return { efoldV: Math.sqrt(ohmsAt1mA * 1e-3 * (ohmsAt5mA * 5e-3)), seriesOhms: 0 };
}

export const ZENER_DIODES: readonly DiodeEntry[] = [
  zener({
    type: 'BZX79C3V3',
    volts: 3.3,
    minimumV: 3.1,
    maximumV: 3.5,
    ohmsAt1mA: 325,
    ohmsAt5mA: 85,
    maximumOhms: 95,
    leakA: 5e-6,
    leakV: 1,
    voltsPerK: -2.4e-3,
    farads: 450e-12,
  }),
  zener({
    type: 'BZX79C3V9',
    volts: 3.9,
    minimumV: 3.7,
    maximumV: 4.1,
    ohmsAt1mA: 350,
    ohmsAt5mA: 85,
    maximumOhms: 90,
    leakA: 3e-6,
    leakV: 1,
    voltsPerK: -2.5e-3,
    farads: 450e-12,
  }),
  zener({
    type: 'BZX79C4V7',
    volts: 4.7,
    minimumV: 4.4,
    maximumV: 5,
    ohmsAt1mA: 425,
    ohmsAt5mA: 50,
    maximumOhms: 80,
    leakA: 3e-6,
    leakV: 2,
    voltsPerK: -1.4e-3,
    farads: 300e-12,
  }),
  zener({
    type: 'BZX79C5V1',
    volts: 5.1,
    minimumV: 4.8,
    maximumV: 5.4,
    ohmsAt1mA: 400,
    ohmsAt5mA: 40,
    maximumOhms: 60,
    leakA: 2e-6,
    leakV: 2,
    voltsPerK: -0.8e-3,
    farads: 300e-12,
  }),
];
