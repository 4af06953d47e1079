import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { type ClippingCurve, clippingCurve } from './clipping-curve.ts';
import { type Harmonics, harmonicsAt } from './harmonics.ts';
import { type Level, type LevelPoint, levelsOf } from './level-map.ts';
import { type SineTest, steadySine } from './steady-sine.ts';

/** A steady sine at one net and along the signal path. */
export interface SineAnalysis {
  /** One period of input and net, V; the net relative to its operating point. */
  readonly inputV: Float64Array;
  readonly netV: Float64Array;
  /** At the net where the circuit clips, without the phase and the losses of what follows. */
  readonly clipping: ClippingCurve;
  readonly harmonics: Harmonics;
  readonly levels: readonly Level[];
}

/**
 * All analyses from one run.
 *
 * @param net A net of the network that carries current. @param points For the levels: see levelPoints.
 * @param clippingNet For the clipping curve, likewise.
 * @throws RangeError for another net; NetworkError, OperatingPointError.
 */
export function sineAnalysis(
  network: Network,
  test: SineTest,
  net: NodeName,
  points: readonly LevelPoint[],
  clippingNet: NodeName = net,
): SineAnalysis {
  const nets = [net, clippingNet, ...points.map((point) => point.net)];
  const sine = steadySine(network, test, [...new Set(nets)]);
  const restV = sine.restV.get(net)!;
  return {
    inputV: sine.inputV,
    netV: sine.volts.get(net)!.map((volts) => volts - restV),
    clipping: clippingCurve(sine, clippingNet),
    harmonics: harmonicsAt(sine, net),
    levels: levelsOf(points, sine),
  };
}
