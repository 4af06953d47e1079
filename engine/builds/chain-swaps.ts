import type { Build } from './build.ts';
import { buildTitle } from './build-title.ts';
import type { Chain, ChainPedal } from './chain.ts';
import { circuitSwapLines } from './circuit-swaps.ts';
import { isOtherOrder, type PedalPair, pedalPairs } from './pedal-pairs.ts';
import { swapsBetween, swapsWithFigures, swapText } from './swaps.ts';

/** "Mid lift into Plain build"; of a lone pedal its title. */
export function chainTitle({ pedals }: Chain): string {
  const isChain = pedals.length > 1;
  return pedals
    .map(({ build, isOn }) => (isOn || !isChain ? buildTitle(build) : `${buildTitle(build)} (off)`))
    .join(' into ');
}

/** The same for what is heard: a lone pedal that is switched off says so too. */
export function heardTitle(chain: Chain): string {
  const [first] = chain.pedals;
  return chain.pedals.length === 1 && first?.isOn === false
    ? `${chainTitle(chain)} (off)`
    : chainTitle(chain);
}

/**
 * What differs between two chains, in lines: order, pedals that one chain alone has, then for each pedal that both have its
 * swaps, its switch, and the cable after it where one lies there in both.
 *
 * @param temperatureK Temperature of the figures that swaps move; without it there are none.
 */
export function chainDifferences(a: Chain, b: Chain, temperatureK: number | undefined): readonly string[] {
  const pairs = pedalPairs(a, b);
  const only = (letter: 'A' | 'B', { pedals }: Chain, positions: readonly number[]) =>
    positions.map((index) => `Pedal ${index + 1} only in ${letter}: ${buildTitle(pedals[index]!.build)}.`);
  return [
    ...(isOtherOrder(pairs) ? ['The order of the pedals.'] : []),
    ...only('A', a, pairs.onlyA),
    ...only('B', b, pairs.onlyB),
    ...pairs.both.flatMap((pair) => pedalDifferences(a, b, pair, temperatureK)),
  ];
}

function pedalDifferences(
  a: Chain,
  b: Chain,
  pair: PedalPair,
  temperatureK: number | undefined,
): readonly string[] {
  const [one, other] = [a.pedals[pair[0]]!, b.pedals[pair[1]]!];
  const isLast = [a, b].some(({ pedals }, side) => pair[side] === pedals.length - 1);
  const lines = [...swapLines(one.build, other.build, temperatureK), ...switchLines(one, other, isLast)];
  const isAlone = a.pedals.length === 1 && b.pedals.length === 1;
  return isAlone ? lines : lines.map((line) => `Pedal ${pairText(pair)}: ${line}`);
}

/** "2"; where a pedal stands at another position in B "2 of A, 1 of B". */
export function pairText([a, b]: PedalPair): string {
  return a === b ? String(a + 1) : `${a + 1} of A, ${b + 1} of B`;
}

function swapLines(a: Build, b: Build, temperatureK: number | undefined): readonly string[] {
  const unlike = circuitSwapLines(a, b);
  if (unlike.length > 0) return unlike;
  const swaps = temperatureK === undefined ? swapsBetween(a, b) : swapsWithFigures(a, b, temperatureK);
  return swaps.map((swap) => swapText(a, swap));
}

function switchLines(a: ChainPedal, b: ChainPedal, isLast: boolean): readonly string[] {
  const position = ({ isOn }: ChainPedal) => (isOn ? 'on' : 'off');
  const cable = ({ cableMetres }: ChainPedal) => `${cableMetres}\u00a0m`;
  return [
    ...(a.isOn === b.isOn ? [] : [`${position(a)} in A, ${position(b)} in B.`]),
    ...(isLast || a.cableMetres === b.cableMetres
      ? []
      : [`cable after it ${cable(a)} in A, ${cable(b)} in B.`]),
  ];
}
