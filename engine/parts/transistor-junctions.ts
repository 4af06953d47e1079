import type { DatasheetPoint, DiodeEntry } from './catalogue-entry.ts';
import { estimatedCurve, estimatedLeak, leakPoint, typicalCurve } from './curve-points.ts';
import { card, germaniumCard } from './model-card.ts';

/*
 * Junctions of transistors that builders fit as diodes. The germanium ones follow from the equations of measured
 * pieces with the collector open (tests/reference/germanium_junctions.py). The silicon ones are ideal junctions with
 * the saturation current of the transistor's card; backwards a base-emitter junction breaks down at 6 V or more, which
 * no pair in opposite directions sees.
 */
const MEASURED = 'Holmes, Holters & van Walstijn (DAFx-17), as quoted; paper not read';
const AC128_PIECE = `computed from the model of one measured AC128, ${MEASURED}`;
const OC44_PIECE = `computed from the model of one measured OC44, ${MEASURED}`;
const CARD_3904 = 'published model card 2N3904';

interface Junction {
  readonly type: string;
  readonly title: string;
  readonly data: DiodeEntry['data'];
  readonly source: string;
  readonly status: DiodeEntry['status'];
  readonly limits: readonly DatasheetPoint[];
}

function junction({ type, title, data, source, status, limits }: Junction): DiodeEntry {
  const family = 'transistor junction';
  return { type, kind: 'diode', family, title, status, data, dataSource: source, limits, knownMisses: [] };
}

export const TRANSISTOR_JUNCTIONS: readonly DiodeEntry[] = [
  junction({
    type: 'AC128 base-emitter',
    title: 'germanium AC128 as a diode: emitter is the anode, base the cathode, collector open',
    status: 'obsolete',
    data: germaniumCard(8.004e-6, 1.2734, 1.98, 100e-12, 0.142e-6),
    source: `fit to what is ${AC128_PIECE}`,
    limits: [
      ...typicalCurve([0.0266, 0.086, 0.1612, 0.2547], AC128_PIECE),
      leakPoint(1.5, { typical: 8.22e-6 }, AC128_PIECE),
    ],
  }),
  junction({
    type: 'OC44 base-emitter',
    title: 'germanium OC44 as a diode: emitter is the anode, base the cathode, collector open',
    status: 'obsolete',
    data: germaniumCard(0.2401e-6, 1.1039, 33.5, 10e-12, 15.3e-9),
    source: `fit to what is ${OC44_PIECE}`,
    limits: [
      ...typicalCurve([0.1072, 0.1759, 0.2712, 0.639], OC44_PIECE),
      leakPoint(1.5, { typical: 0.264e-6 }, OC44_PIECE),
    ],
  }),
  junction({
    type: '2N3904 base-emitter',
    title: 'silicon 2N3904 as a diode: base and collector are the anode, emitter the cathode',
    status: 'current',
    data: card(1e-14, 1, 0.5, 8e-12),
    source: `${CARD_3904}; 0.5 ohm an estimate; capacitance: the most of MCC 2N3904`,
    limits: [
      ...estimatedCurve([0.536, 0.595, 0.655, 0.719], 0.02),
      leakPoint(1.5, { maximum: 50e-9 }, '2N3904 sheet, from memory'),
    ],
  }),
  junction({
    type: 'J201 gate',
    title: 'gate of a J201 as a diode: gate is the anode, drain and source the cathode',
    status: 'often faked',
    data: card(0.229e-12, 1, 20, 9e-12),
    source:
      'twice the gate junction of the published model card J201, from memory; 20 ohm and capacitance estimates',
    limits: [...estimatedCurve([0.455, 0.515, 0.594, 0.834], 0.04), estimatedLeak(0.5e-12)],
  }),
  junction({
    type: '2N5457 gate',
    title: 'gate of a 2N5457 as a diode: gate is the anode, drain and source the cathode',
    status: 'obsolete',
    data: card(0.363e-12, 1, 20, 6e-12),
    source:
      'twice the gate junction of the published model card 2N5457, from memory; 20 ohm an estimate; capacitance: onsemi 2N5457/D rev 3, both together',
    limits: [...estimatedCurve([0.443, 0.503, 0.582, 0.821], 0.04), estimatedLeak(0.5e-12)],
  }),
];
