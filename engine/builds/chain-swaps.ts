import type { Build } from './build.ts';
import { buildTitle } from './build-title.ts';
import type { Chain, ChainPedal } from './chain.ts';
import { circuitSwapLines } from './circuit-swaps.ts';
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
 * What differs between two chains, in lines: the swaps of each pedal where the same circuit stands at the same place, else why
 * there are none; then switches, and the cables that lie between pedals in both.
 *
 * @param temperatureK Temperature of the figures that swaps move; without it there are none.
 */
export function chainDifferences(a: Chain, b: Chain, temperatureK: number | undefined): readonly string[] {
  const count = Math.max(a.pedals.length, b.pedals.length);
  const names = Array.from({ length: count }, (_, index) => (count === 1 ? '' : `Pedal ${index + 1}: `));
  return names.flatMap((name, index) => {
    const [one, other] = [a.pedals[index], b.pedals[index]];
    if (!one || !other) return [`${name}only in ${one ? 'A' : 'B'}.`];
    const swaps = swapLines(one.build, other.build, temperatureK);
    const isLast = [a, b].some(({ pedals }) => index === pedals.length - 1);
    return [...swaps, ...switchLines(one, other, isLast)].map((line) => `${name}${line}`);
  });
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
