import type { MeasuredPart } from '../../engine/builds/measured-parts.ts';
import { bjtDataAt } from '../../engine/devices/bipolar.ts';
import { diodeDataAt } from '../../engine/devices/diode.ts';
import { forwardVoltage } from '../../engine/parts/diode-curve.ts';
import { bjtEntry, diodeEntry, fetEntry } from '../../engine/parts/part-types.ts';
import { fitTaper, type PotPiece } from '../../engine/parts/passive-piece.ts';
import { type BipolarPiece, type DiodePiece, type JfetPiece, pieceText } from '../../engine/parts/piece.ts';
import { roomK } from '../../engine/parts/piece-fit.ts';
import { openBaseLeakA } from '../../engine/parts/type-figure.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import { trackFraction } from '../../engine/units/taper.ts';

type Place = readonly [x: number, y: number];

/** What was measured as points, the model as a curve, and the usual part of the type as another. */
export interface FitPlot {
  readonly title: string;
  /** Range of each axis, and the texts of its ends. A logarithmic axis holds exponents of ten. */
  readonly x: Axis;
  readonly y: Axis;
  readonly points: readonly Place[];
  readonly fit: readonly Place[];
  readonly typical: readonly Place[];
}

export interface Axis {
  readonly from: number;
  readonly to: number;
  readonly fromText: string;
  readonly toText: string;
  readonly title: string;
}

const STEPS = 60;

/** The plot of a part; undefined for a resistor or capacitor, which are one number. */
export function fitPlot(part: MeasuredPart): FitPlot | undefined {
  switch (part.kind) {
    case 'diode':
      return diodePlot(part);
    case 'npn':
    case 'pnp':
      return bipolarPlot(part);
    case 'nJfet':
    case 'pJfet':
      return jfetPlot(part);
    case 'pot':
      return taperPlot(part);
    default:
      return undefined;
  }
}

function diodePlot(piece: DiodePiece): FitPlot {
  const temperatureK = roomK(piece);
  const currents = piece.forward.map(({ currentA }) => currentA);
  const roundLog = (amps: number) => Math.log10(Number(amps.toPrecision(1)));
  const from = roundLog(Math.min(2e-6, currents[0]! / 2));
  const to = roundLog(Math.max(1e-3, 2 * currents.at(-1)!));
  const curve = (type: string) => {
    const data = diodeDataAt(diodeEntry(type).data, temperatureK);
    return steps(from, to).map((log): Place => [log, forwardVoltage(data, 10 ** log, temperatureK)]);
  };
  const [fit, typical] = [curve(pieceText(piece)), curve(piece.like)];
  const points = piece.forward.map(({ currentA, voltageV }): Place => [Math.log10(currentA), voltageV]);
  return {
    title: `Forward voltage of ${piece.name} over the current`,
    x: {
      from,
      to,
      fromText: quantityText(10 ** from, 'A'),
      toText: quantityText(10 ** to, 'A'),
      title: 'current',
    },
    y: upTo([fit, typical, points], 'V', 'forward voltage'),
    ...{ points, fit, typical },
  };
}

function bipolarPlot(piece: BipolarPiece): FitPlot {
  const baseA = piece.collectorA / piece.currentGain;
  const top = 1.5 * baseA;
  const curve = (type: string) => {
    const data = bjtDataAt(bjtEntry(type).data, roomK(piece));
    const leakA = openBaseLeakA(data);
    return [0, top].map((amps): Place => [amps, data.forwardBeta * amps + leakA]);
  };
  const [fit, typical] = [curve(pieceText(piece)), curve(piece.like)];
  const open: readonly Place[] = piece.openBaseA === undefined ? [] : [[0, piece.openBaseA]];
  const points: readonly Place[] = [...open, [baseA, piece.collectorA]];
  return {
    title: `Collector current of ${piece.name} over the base current`,
    x: { from: 0, to: top, fromText: '0', toText: quantityText(top, 'A'), title: 'base current' },
    y: upTo([fit, typical, points], 'A', 'collector current'),
    ...{ points, fit, typical },
  };
}

function jfetPlot(piece: JfetPiece): FitPlot {
  const curve = (type: string) => {
    const { betaAPerV2, thresholdV, lambdaPerV } = fetEntry(type).data;
    const beta = betaAPerV2 * (1 + lambdaPerV * (piece.drainV ?? 5));
    return steps(1.15 * thresholdV, 0).map(
      (volts): Place => [volts, beta * Math.max(0, volts - thresholdV) ** 2],
    );
  };
  const [fit, typical] = [curve(pieceText(piece)), curve(piece.like)];
  const points: readonly Place[] = [
    [-piece.cutoffV, piece.cutoffA ?? 0],
    [0, piece.zeroBiasDrainA],
  ];
  const from = Math.min(fit[0]![0], typical[0]![0]);
  return {
    title: `Drain current of ${piece.name} over the gate voltage`,
    x: { from, to: 0, fromText: quantityText(from, 'V'), toText: '0 V', title: 'gate to source' },
    y: upTo([fit, typical, points], 'A', 'drain current'),
    ...{ points, fit, typical },
  };
}

function taperPlot(piece: PotPiece): FitPlot {
  const { law, misses } = fitTaper(piece);
  return {
    title: `Share of the track of ${piece.name} over the turn`,
    x: { from: 0, to: 1, fromText: '0', toText: 'full turn', title: 'turn of the knob' },
    y: { from: 0, to: 1, fromText: '0', toText: '100 %', title: 'share of the track' },
    points: misses.map(({ turn, measured }): Place => [turn, measured]),
    fit: steps(0, 1).map((turn): Place => [turn, trackFraction(law, turn)]),
    typical: [],
  };
}

function steps(from: number, to: number): readonly number[] {
  return Array.from({ length: STEPS + 1 }, (_, index) => from + ((to - from) * index) / STEPS);
}

function upTo(curves: readonly (readonly Place[])[], unit: 'V' | 'A', title: string): Axis {
  const to = 1.05 * Math.max(...curves.flat().map(([, y]) => y));
  return { from: 0, to, fromText: '0', toText: quantityText(to, unit), title };
}
