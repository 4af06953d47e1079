import type { BjtData } from '../../engine/devices/bipolar.ts';
import { GROUND } from '../../engine/devices/node.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import {
  AMPLIFIER,
  bipolar,
  capacitor,
  diode,
  network,
  opamp,
  resistor,
  SILICON,
  source,
} from '../unit/small-networks.ts';

/** A small silicon NPN transistor, as 2N3904 in the catalogue. */
const TRANSISTOR: BjtData = { saturationCurrentA: 1e-14, forwardBeta: 200, reverseBeta: 4, earlyV: 100 };
const SUPPLY_V = 9;

/** A stage of a row: the parts between one node and the next. */
type Stage = (from: string, to: string) => readonly Primitive[];

/** 1 kΩ and 100 pF: a line of sixty of them still passes the low notes. */
const filter: Stage = (from, to) => [
  resistor(`R ${to}`, from, to, 1e3),
  capacitor(`C ${to}`, to, GROUND, 100e-12),
];

const clipper: Stage = (from, to) => [
  resistor(`R ${to}`, from, to, 2.2e3),
  capacitor(`C ${to}`, to, GROUND, 1e-9),
  diode(`D ${to}`, [to, GROUND], SILICON),
  diode(`E ${to}`, [GROUND, to], SILICON),
];

/** The stage and a follower, so that each stage is a block of its own. */
const followed =
  (stage: Stage): Stage =>
  (from, to) => [
    ...stage(from, `${to} open`),
    opamp(`U ${to}`, [`${to} open`, to, to, 'plus', 'minus'], AMPLIFIER),
  ];

const ROWS = {
  filters: filter,
  'filters with op-amps between': followed(filter),
  clippers: clipper,
  'clippers with op-amps between': followed(clipper),
} as const;

export type RowName = keyof typeof ROWS;
export const ROW_NAMES = Object.keys(ROWS) as RowName[];

/** A row of like stages with about so many parts, sources not counted. */
export function rowOfStages(name: RowName, parts: number): { network: Network; parts: number } {
  const stage = ROWS[name];
  const count = Math.round(parts / stage('in', 'out').length);
  const primitives = chain(count, stage);
  return {
    network: network([...primitives, source('plus', SUPPLY_V), source('minus', -SUPPLY_V)]),
    parts: primitives.length,
  };
}

/** A block of so many nonlinear ports that no op-amp divides. */
const BLOCKS = {
  /** Resistors in a row, at each node a diode to ground, every second one the other way round; a little current from 9 V. */
  'diode ladder': (ports: number) =>
    network([
      source('plus', SUPPLY_V),
      resistor('R plus', 'plus', 'out', 1e6),
      ...chain(ports, (from, to, index) => [
        resistor(`R ${to}`, from, to, 1e3),
        capacitor(`C ${to}`, to, GROUND, 470e-12),
        diode(`D ${to}`, index % 2 === 0 ? [to, GROUND] : [GROUND, to], SILICON),
      ]),
    ]),
  /**
   * Common-emitter stages, each collector straight to the next base. With equal resistors at collector and emitter every
   * base rests near (9 V + 0.6 V)/2; for signals the gain is about one and a half.
   */
  'coupled transistors': (ports: number) =>
    network([
      source('plus', SUPPLY_V),
      capacitor('C in', 'in', 'base', 100e-9),
      resistor('R high', 'plus', 'base', 91e3),
      resistor('R low', 'base', GROUND, 100e3),
      ...chain(
        ports / 2,
        (from, to) => [
          bipolar('npn', `Q ${to}`, [to, from, `${to} emitter`], TRANSISTOR),
          resistor(`R ${to}`, 'plus', to, 4.7e3),
          resistor(`E ${to}`, `${to} emitter`, GROUND, 4.7e3),
          resistor(`A ${to}`, `${to} emitter`, `${to} bypass`, 10e3),
          capacitor(`B ${to}`, `${to} bypass`, GROUND, 1e-6),
        ],
        'base',
      ),
    ]),
} as const;

export type BlockName = keyof typeof BLOCKS;

/** Every block of the table, by its number of ports. */
export const DENSE_BLOCKS: readonly { readonly name: BlockName; readonly ports: number }[] = [
  ...[1, 2, 3, 4, 6, 8, 12, 16].map((ports) => ({ name: 'diode ladder' as const, ports })),
  ...[2, 4, 6, 8, 12, 16].map((ports) => ({ name: 'coupled transistors' as const, ports })),
];

export const denseBlock = (name: BlockName, ports: number): Network => BLOCKS[name](ports);

function chain(
  count: number,
  stage: (from: string, to: string, index: number) => readonly Primitive[],
  start = 'in',
): Primitive[] {
  const node = (index: number) => (index === 0 ? start : index === count ? 'out' : `n${index}`);
  return Array.from({ length: count }, (_, index) => stage(node(index), node(index + 1), index)).flat();
}
