import type { Build } from '../builds/build.ts';
import { probedNode } from '../builds/probe-nets.ts';
import { fromOwnInput, loadedNetwork, type Surroundings } from '../builds/surroundings.ts';
import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { ratioToDb } from '../units/decibels.ts';
import { quantityText } from '../units/quantity-text.ts';
import { FrequencyResponse } from './frequency-response.ts';
import { harmonicsAt } from './harmonics.ts';
import { SineDrive } from './steady-sine.ts';

/**
 * Where a build clips from: the peak of a sine of 1 kHz at the input at which the fundamental at the circuit's clipping
 * net has lost 1 dB of the gain that a small signal has there without the diodes: the 1 dB compression point.
 * It uses the net that the diodes limit, so that tone control, clean blend and output knob have no influence.
 *
 * The reference is the gain without the diodes, since some conduct even at rest: a pair of 1N34A takes 18 dB of
 * a stage's gain from any signal, and little more over a wide range of levels. Measured against the gain with
 * them they would seem to clip later than silicon.
 */
export type ClippingLevel =
  | { readonly kind: 'from'; readonly inputPeakV: number }
  /** Below 5 mV, the level of a string at the end of its decay: there is practically no clean sound. */
  | { readonly kind: 'soft' }
  /** It does not clip up to 10 V, more than any pickup gives. */
  | { readonly kind: 'none' }
  /** No signal gets to the net. */
  | { readonly kind: 'silent' };

export const CLIPPING_TEST_HZ = 1000;
const LOSS_DB = 1;
const SOFT_BELOW_V = 5e-3;
const MOST_V = 10;
const STEP = Math.sqrt(10);
/** Ratio of the bracket before interpolation, which leaves an error of a few thousandths. */
const BRACKET_RATIO = 1.1;
/** So many of these ratios are tried from a level where it should be. */
const MOST_STEPS_NEAR = 4;
/** A net with less gain than this has no signal to clip, dB. */
const LEAST_GAIN_DB = -40;

/** The definition in a sentence for the screen. */
export const CLIPPING_LEVEL_NOTE =
  'Clips from: input peak at 1 kHz where clipping has lowered the gain by 1 dB. Soft from the start: below 5 mV.';

/** A level at the input, and the loss of gain of the fundamental there. */
interface Loss {
  readonly peakV: number;
  readonly lossDb: number;
}

/**
 * Where a build clips from, at its own input.
 *
 * @param around What follows it loads it. @param nearV Where a build of almost the same parts clips from: a third of the time.
 * @throws NetworkError, OperatingPointError.
 */
export function clippingLevelOf(
  build: Build,
  temperatureK: number,
  around: Surroundings = {},
  nearV?: number,
): ClippingLevel {
  const network = loadedNetwork(build, temperatureK, around);
  const place = fromOwnInput(around).chain;
  const net = probedNode(build, network, build.circuit.clippingNet, place);
  // A net that a jumpered part ties to a supply has no signal.
  if (net === undefined || network.rails.includes(net)) return { kind: 'silent' };
  return clippingLevel(network, net, loadedNetwork(withoutDiodes(build), temperatureK, around), nearV);
}

/** A build without the diodes that limit its clipping net; jumpered ones stay. */
function withoutDiodes(build: Build): Build {
  const { clippingDiodes } = build.circuit;
  const parts = { ...build.parts };
  for (const ref of clippingDiodes) {
    const setting = parts[ref];
    if (setting && setting.fit === undefined) parts[ref] = { ...setting, fit: 'open' };
  }
  return { ...build, parts };
}

/**
 * Where a net of a network clips from, to about a percent.
 *
 * @param linear The network without the clipping diodes. @param nearV Where to look first. @throws NetworkError, OperatingPointError.
 */
export function clippingLevel(
  network: Network,
  net: NodeName,
  linear: Network,
  nearV?: number,
): ClippingLevel {
  const smallDb = new FrequencyResponse(linear).at(CLIPPING_TEST_HZ, net).decibels;
  if (!(smallDb > LEAST_GAIN_DB)) return { kind: 'silent' };
  const drive = new SineDrive(network, CLIPPING_TEST_HZ, [net]);
  const at = (peakV: number): Loss => {
    const { fundamentalV } = harmonicsAt(drive.at(peakV), net);
    return { peakV, lossDb: smallDb - ratioToDb(fundamentalV / peakV) };
  };
  const bracket = (nearV !== undefined && bracketNear(nearV, at)) || bracketOf(at);
  if (bracket === 'soft' || bracket === 'none') return { kind: bracket };
  return { kind: 'from', inputPeakV: interpolated(narrowed(bracket, at)) };
}

type Bracket = readonly [below: Loss, above: Loss];

function bracketOf(at: (peakV: number) => Loss): Bracket | 'soft' | 'none' {
  let above = at(SOFT_BELOW_V);
  if (above.lossDb >= LOSS_DB) return 'soft';
  for (;;) {
    if (above.peakV >= MOST_V) return 'none';
    const below = above;
    above = at(Math.min(MOST_V, below.peakV * STEP));
    if (above.lossDb >= LOSS_DB) return [below, above];
  }
}

/** Around a level; undefined where it clips from far away from it, or hardly at all. */
function bracketNear(nearV: number, at: (peakV: number) => Loss): Bracket | undefined {
  const ratio = Math.sqrt(BRACKET_RATIO);
  let [below, above] = [at(nearV / ratio), at(nearV * ratio)];
  for (let step = 0; step < MOST_STEPS_NEAR; step++) {
    if (below.lossDb >= LOSS_DB) [below, above] = [at(below.peakV / BRACKET_RATIO), below];
    else if (above.lossDb < LOSS_DB) [below, above] = [above, at(above.peakV * BRACKET_RATIO)];
    else return below.peakV >= SOFT_BELOW_V && above.peakV <= MOST_V ? [below, above] : undefined;
  }
  return undefined;
}

function narrowed([below, above]: Bracket, at: (peakV: number) => Loss): Bracket {
  if (above.peakV / below.peakV <= BRACKET_RATIO) return [below, above];
  const middle = at(Math.sqrt(below.peakV * above.peakV));
  return narrowed(middle.lossDb >= LOSS_DB ? [below, middle] : [middle, above], at);
}

/** Linear interpolation of decibels over the logarithm of the level. */
function interpolated([below, above]: Bracket): number {
  const share = (LOSS_DB - below.lossDb) / (above.lossDb - below.lossDb);
  return below.peakV * (above.peakV / below.peakV) ** share;
}

/** The level in words and numbers: "11.5 mV", "soft from the start". */
export function clippingLevelText(level: ClippingLevel): string {
  switch (level.kind) {
    case 'from':
      return quantityText(level.inputPeakV, 'V');
    case 'soft':
      return 'soft from the start';
    case 'none':
      return `not up to ${MOST_V} V`;
    case 'silent':
      return 'no signal';
  }
}

/** For sorting, V: an earlier clipping level is smaller; no clipping is the largest. */
export function clippingOrderV(level: ClippingLevel): number {
  if (level.kind === 'from') return level.inputPeakV;
  return level.kind === 'soft' ? 0 : MOST_V;
}
