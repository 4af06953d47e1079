import { type Chain, placeIn } from '../builds/chain.ts';
import { USUAL_SEED } from '../builds/parts-set.ts';
import type { NodeName } from '../devices/node.ts';
import { isReachable } from './meter-readings.ts';
import { SpreadRun } from './spread-run.ts';

/** Sets of parts for a band; its ends are then known within a tenth of its width. */
const SETS = 500;
/** Share of the boards that are within a band. */
const MIDDLE = 0.95;

/** Between which voltages a net is on 95 % of the boards with these parts, V. */
export interface VoltageBand {
  readonly low: number;
  readonly high: number;
}

/**
 * How far the DC voltages differ from board to board, by the tolerances of the parts, without a meter. Boards that do not work
 * are not counted.
 *
 * @throws BuildError, NetworkError, OperatingPointError for the build as printed.
 */
export function voltageBands(chain: Chain, temperatureK: number): ReadonlyMap<NodeName, VoltageBand> {
  const run = new SpreadRun({
    build: chain.pedals[0]!.build,
    around: { chain: placeIn(chain, 0) },
    temperatureK: { low: temperatureK, high: temperatureK },
    seed: USUAL_SEED,
    tolerances: {},
  });
  const { rows, numbers } = run.solve(1, SETS);
  const { nets, hz, supplies } = run.columns;
  const first = hz.length + 1;
  const width = first + nets.length + supplies.length;
  const bands = nets.flatMap((net, index) => {
    if (!isReachable(net)) return [];
    const column = Float64Array.from(numbers, (_, row) => rows[row * width + first + index]!).sort();
    return [[net, middleOf(column)] as const];
  });
  return new Map(bands);
}

function middleOf(sorted: Float64Array): VoltageBand {
  const at = (share: number) => sorted[Math.round(share * (sorted.length - 1))] ?? Number.NaN;
  return { low: at((1 - MIDDLE) / 2), high: at((1 + MIDDLE) / 2) };
}
