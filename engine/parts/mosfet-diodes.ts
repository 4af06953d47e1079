import type { DiodeEntry, FetEntry } from './catalogue-entry.ts';
import { MOSFETS } from './mosfets.ts';

/**
 * A MOSFET with its gate tied to its drain: two-way. From source (anode) to drain (cathode) the body diode
 * conducts; from drain to source the channel does, i = β·(v − V_to)² above the threshold. Capacitance is that
 * of the body diode; the gate's is left out.
 */
function gateToDrain({ type, status, data, dataSource, bodyDiode }: FetEntry): DiodeEntry[] {
  if (!bodyDiode) return [];
  return [
    {
      type: `${type} gate to drain`,
      kind: 'diode',
      family: 'MOSFET',
      title: `${type}, gate tied to drain: source is the anode; backwards the channel conducts`,
      status,
      data: bodyDiode,
      reverse: { by: 'channel', data },
      dataSource: `${dataSource}; the gate's capacitance is left out`,
      limits: [],
      knownMisses: [],
    },
  ];
}

export const MOSFET_DIODES: readonly DiodeEntry[] = MOSFETS.flatMap(gateToDrain);
