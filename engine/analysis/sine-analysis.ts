import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { type ClippingCurve, clippingCurve } from './clipping-curve.ts';
import { type Harmonics, harmonicsAt } from './harmonics.ts';
import { type Level, type LevelPoint, levelsOf } from './level-map.ts';
import { type SineTest, steadySine } from './steady-sine.ts';

/** What a steady sine does at one net and along the signal path. */
export interface SineAnalysis {
  /** One period of input and net, the net from its rest voltage, V. */
  readonly inputV: Float64Array;
  readonly netV: Float64Array;
  readonly clipping: ClippingCurve;
  readonly harmonics: Harmonics;
  readonly levels: readonly Level[];
  /** False where bias still moved when patience ended. */
  readonly isSettled: boolean;
}

/**
 * All of it from one run.
 *
 * @param net A net of the network that carries current. @param points Where levels are wanted: see levelPoints.
 * @throws RangeError for another net; NetworkError, OperatingPointError.
 */
export function sineAnalysis(
  network: Network,
  test: SineTest,
  net: NodeName,
  points: readonly LevelPoint[],
): SineAnalysis {
  const sine = steadySine(network, test, [...new Set([net, ...points.map((point) => point.net)])]);
  const restV = sine.restV.get(net)!;
  return {
    inputV: sine.inputV,
    netV: sine.volts.get(net)!.map((volts) => volts - restV),
    clipping: clippingCurve(sine, net),
    harmonics: harmonicsAt(sine, net),
    levels: levelsOf(points, sine),
    isSettled: sine.isSettled,
  };
}
