import type { DatasheetPoint, DiodeEntry, FetEntry } from './catalogue-entry.ts';
import { ESTIMATE, estimatedCurve, LEAK_TEST_V, leakPoint } from './curve-points.ts';
import { forwardPoint } from './model-card.ts';
import { MOSFETS } from './mosfets.ts';
import { SILICON_DIODES } from './silicon-diodes.ts';

const BLOCKING_TYPE = '1N4148';
const blockingDiode = SILICON_DIODES.find(({ type }) => type === BLOCKING_TYPE)!;

const SUPERTEX = 'Supertex DSFP-2N7000 C0628213';

/** Estimated voltage from drain to source, ± 20 % as the threshold spreads. */
function channelPoint(drainA: number, typical: number): DatasheetPoint {
  const [minimum, maximum] = [0.8 * typical, 1.2 * typical];
  return { quantity: 'gateThresholdV', minimum, typical, maximum, at: { drainA }, source: ESTIMATE };
}

/**
 * A MOSFET with its gate tied to its drain conducts both ways. From source (anode) to drain (cathode) the body diode
 * conducts; from drain to source the channel does, exponentially up to the threshold and with a resistance above it.
 * Capacitance is that of the body diode; the gate's is left out.
 */
function gateToDrain({ type, status, dataSource, bodyDiode, channelDiode, limits }: FetEntry): DiodeEntry[] {
  if (!bodyDiode || !channelDiode) return [];
  return [
    {
      type: `${type} gate to drain`,
      kind: 'diode',
      family: 'MOSFET',
      title: `${type}, gate tied to drain: source is the anode; backwards the channel conducts`,
      status,
      data: bodyDiode,
      reverse: { by: 'channel', data: channelDiode },
      dataSource: `${dataSource}; the gate's capacitance is left out`,
      limits: [
        ...limits.filter(({ quantity }) => quantity === 'gateThresholdV'),
        channelPoint(10e-6, 1.9),
        channelPoint(0.1e-3, 2),
        channelPoint(10e-3, 2.38),
        ...estimatedCurve(type === '2N7000' ? [0.5, 0.56, 0.622, 0.686] : [0.595, 0.655, 0.717, 0.79], 0.1),
        ...(type === '2N7000' ? [forwardPoint(0.2, { typical: 0.85 }, SUPERTEX)] : []),
        leakPoint(LEAK_TEST_V, { maximum: 1e-6 }, '2N7000 sheet, from memory'),
      ],
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
    limits: [],
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
    limits: [],
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
