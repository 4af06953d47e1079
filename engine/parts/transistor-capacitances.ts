import type { NodeName } from '../devices/node.ts';
import { ofPiece, type PrimitiveBase } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import type { TransistorEntry } from './catalogue-entry.ts';

/** Constant capacitances of a transistor at the voltages and currents of a pedal. */
interface TransistorCapacitance {
  /** From base to collector, or from gate to drain, F. An inverting stage multiplies it by its gain. */
  readonly feedbackF: number;
  /** From base to emitter, or from gate to source, F. */
  readonly inputF: number;
  readonly source: string;
}

const pico = (feedback: number, input: number, source: string): TransistorCapacitance => ({
  feedbackF: feedback * 1e-12,
  inputF: input * 1e-12,
  source,
});

/*
 * From base to collector at about 4.5 V: C_JC·(1 + 4.5/V_JC)^(−M_JC) of a card, or the typical figure of a sheet at 5 or 10 V,
 * the latter times 1.3. From base to emitter: 1.5 times that at zero bias and, of the carriers under way, T_F times the
 * transconductance at 0.35 mA, 13.5 mS; where only a transition frequency is known, 13.5 mS/(2π·f_T).
 */
const CARD_MEMORY = 'published model card, from memory';
const FAIRCHILD_549 =
  'Fairchild BC546 to BC550; Motorola BC549B/D: 2.5 pF at 10 V, 9 pF; f_T 250 MHz typical';
const CARD_5088 = "card in Fairchild's 2N5088/89 sheet: C_JC 4.017 pF, C_JE 4.973 pF, T_F 0.82 ns";
const SHEET_5457 = 'Motorola, onsemi 2N5457/D: C_iss 4.5 pF, C_rss 1.5 pF typical';
const MOSFET_MEMORY = 'C_iss and C_rss of the sheet, from memory';
const P_SHEET = 'C_iss 5 pF, C_rss 1 pF typical, 2N5460 to 2N5462 sheet, from memory';
const BF245 = 'Philips BF245 sheet, from memory: C_is 4 pF, C_rs 1.1 pF typical';

/** By type. */
const CAPACITANCES: Readonly<Record<string, TransistorCapacitance>> = {
  '2N3904': pico(2, 11, `${CARD_MEMORY}: C_JC 3.638 pF, C_JE 4.493 pF, T_F 0.3 ns`),
  '2N5088': pico(2.2, 18, CARD_5088),
  '2N5089': pico(2.2, 18, CARD_5088),
  BC549C: pico(3.2, 22, FAIRCHILD_549),
  BC550C: pico(3.2, 22, FAIRCHILD_549),
  BC547B: pico(3.2, 22, FAIRCHILD_549),
  BC108: pico(3.2, 22, 'estimate: as BC547'),
  MPSA18: pico(1.7, 20, 'onsemi MPSA18: C_cb 1.7 pF, C_eb 5.6 pF, f_T 160 MHz at 1 mA typical'),
  '2SC1815': pico(2.6, 20, 'Toshiba 2SC1815: C_ob 2 pF at 10 V; from base to emitter an estimate'),
  '2SC945': pico(2.6, 20, 'KEC KTC945B: C_ob 2 pF at 10 V; from base to emitter an estimate'),
  '2N2222': pico(3.8, 38, `${CARD_MEMORY}: C_JC 7.306 pF, C_JE 22 pF, T_F 0.4 ns`),
  '2N3906': pico(3.2, 14, `${CARD_MEMORY}: C_JC 9.728 pF, C_JE 8.063 pF, T_F 0.18 ns`),
  AC128: pico(100, 2100, 'C_cb of one measured piece (DAFx-17, as quoted); f_T 1 MHz (npntransistors.com)'),
  OC44: pico(10, 140, 'C_cb and f_T 15 MHz from memory'),
  '2N404': pico(10, 180, 'C_cb as 2N1305; f_T 12 MHz, from memory'),
  '2N1305': pico(
    10,
    215,
    'New Jersey Semi 2N1303 to 2N1309: C_ob 10 pF at 5 V typical; f_T 10 MHz, from memory',
  ),
  AC125: pico(40, 1260, 'C_cb estimate; f_T 1.7 MHz, from memory'),
  AC126: pico(40, 930, 'C_cb estimate; f_T 2.3 MHz, from memory'),
  MPSA13: pico(4, 20, 'estimate'),
  J201: pico(1, 3, 'Vishay 70233, from memory: C_iss 4 pF, C_rss 1 pF'),
  '2N5457': pico(1.5, 3, SHEET_5457),
  '2N5952': pico(1.5, 3.5, 'estimate'),
  J113: pico(
    3.5,
    3.5,
    'card of J113 (Linear Systems, as quoted), 6.5 and 5.7 pF without bias; less with it: estimate',
  ),
  '2N5484': pico(0.8, 3, 'estimate below the limits of the sheet (C_iss 5 pF, C_rss 1 pF, from memory)'),
  BF245A: pico(1.1, 2.9, BF245),
  BF245B: pico(1.1, 2.9, BF245),
  '2N5460': pico(1, 4, P_SHEET),
  '2N5461': pico(1, 4, P_SHEET),
  '2N5462': pico(1, 4, P_SHEET),
  '2N7000': pico(5, 20, MOSFET_MEMORY),
  BS170: pico(5, 24, MOSFET_MEMORY),
};

/** Capacitances of a type, also of a piece of it; undefined where none are known. */
export function transistorCapacitance({ type, like }: TransistorEntry): TransistorCapacitance | undefined {
  return CAPACITANCES[like ?? type];
}

/**
 * The capacitances beside a transistor as primitives. With its collector or drain on a net of constant voltage they are left
 * out: nothing multiplies the one, and the emitter or source takes the other along. They cost two states in every sample there,
 * and change soft-clip's output by -57 dB at 5 kHz.
 *
 * @param own Name and origin of the transistor. @param nodes Collector, base, emitter, or drain, gate, source.
 */
export function transistorCapacitors(
  entry: TransistorEntry,
  own: PrimitiveBase,
  [output, input, common]: readonly [NodeName, NodeName, NodeName],
  isHeld: (node: NodeName) => boolean,
): Primitive[] {
  const capacitance = transistorCapacitance(entry);
  if (!capacitance || isHeld(output)) return [];
  const beside = (word: string, node: NodeName, farads: number): Primitive[] =>
    node === input ? [] : [{ kind: 'capacitor', ...ofPiece(own, word), nodes: [input, node], farads }];
  return [
    ...beside('output capacitance', output, capacitance.feedbackF),
    ...beside('input capacitance', common, capacitance.inputF),
  ];
}
