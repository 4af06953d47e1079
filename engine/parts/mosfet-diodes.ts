import type { DiodeEntry, FetEntry } from './catalogue-entry.ts';
import { MOSFETS } from './mosfets.ts';
import { SILICON_DIODES } from './silicon-diodes.ts';

const BLOCKING_TYPE = '1N4148';
const blockingDiode = SILICON_DIODES.find(({ type }) => type === BLOCKING_TYPE)!;

/**
 * A MOSFET with its gate tied to its drain conducts both ways. From source (anode) to drain (cathode) the body diode
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

/**
 * Two of them in series, back to back: in each direction the body diode of one and the channel of the other
 * conduct.
 */
function backToBack(single: DiodeEntry): DiodeEntry {
  const { reverse: _, ...rest } = single;
  return {
    ...rest,
    type: single.type.replace('gate to drain', 'back to back'),
    title: `two of ${single.title.split(',')[0]} with gates tied to drains, back to back: the same in both directions`,
    chain: [
      { entry: single, isReversed: false },
      { entry: single, isReversed: true },
    ],
  };
}

/** One in series with a silicon diode that blocks its body diode: only the channel clips, in one direction. */
function withBlockingDiode(single: DiodeEntry): DiodeEntry {
  const { reverse: _, ...rest } = single;
  return {
    ...rest,
    type: single.type.replace('gate to drain', 'with blocking diode'),
    title: `${single.title.split(',')[0]}, gate tied to drain, behind a ${BLOCKING_TYPE}: the channel alone, one way`,
    data: blockingDiode.data,
    dataSource: `${single.dataSource}; ${blockingDiode.dataSource}`,
    chain: [
      { entry: blockingDiode, isReversed: false },
      { entry: single, isReversed: true },
    ],
  };
}

const SINGLE = MOSFETS.flatMap(gateToDrain);

export const MOSFET_DIODES: readonly DiodeEntry[] = [
  ...SINGLE,
  ...SINGLE.map(backToBack),
  ...SINGLE.map(withBlockingDiode),
];
