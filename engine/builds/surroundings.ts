import { quoted } from '../input/shown-text.ts';
import type { Network } from '../network/network.ts';
import type { Build } from './build.ts';
import { buildTitle } from './build-title.ts';
import { type ChainPedal, type ChainPlace, inChain, networkOfPedal } from './chain.ts';
import { type Instrument, PICKUPS, withInstrument } from './instrument.ts';
import { isFullUp, turnedText } from './instrument-text.ts';
import { type OutputLoad, outputLoadText, withOutputLoad } from './output-load.ts';

/** Characters of a title in a sentence. */
const SHOWN_TITLE_CHARACTERS = 60;

/**
 * What a build is played with: the rest of its chain, the guitar before the chain, and the cable and the input after it.
 *
 * What is heard (response, noise, loudness, harmonics) goes from the first input of the chain to its output. Figures of the
 * pedal's own parts, such as where it clips from, are stated at its own input, with all that loads its output.
 */
export interface Surroundings {
  /** Undefined where the input is driven by a voltage. */
  readonly instrument?: Instrument | undefined;
  /** Undefined if the output is left open. */
  readonly load?: OutputLoad | undefined;
  /** Undefined for a lone pedal that is on. */
  readonly chain?: ChainPlace | undefined;
}

/** How a build is played while something of it is measured: the state of the bench. */
export interface PlayedConditions {
  readonly temperatureK: number;
  readonly around: Surroundings;
}

/** A build with what is before and after it; the strings' voltage is the input. @throws BuildError, NetworkError. */
export function networkWithin(build: Build, temperatureK: number, around: Surroundings): Network {
  return withSurroundings(ownNetwork(build, temperatureK, around), around);
}

/** From the first input of the chain, without a guitar: there the level of a test is stated. @throws as networkWithin. */
export function drivenNetwork(build: Build, temperatureK: number, around: Surroundings): Network {
  return networkWithin(build, temperatureK, { ...around, instrument: undefined });
}

/** From the pedal's own input: figures such as a clipping level are stated there. @throws as networkWithin. */
export function loadedNetwork(build: Build, temperatureK: number, around: Surroundings): Network {
  return networkWithin(build, temperatureK, fromOwnInput(around));
}

/** What is after a pedal, without what is before it. */
export function fromOwnInput({ load, chain }: Surroundings): Surroundings {
  return { load, chain: chain && { ...chain, before: [] } };
}

function ownNetwork(build: Build, temperatureK: number, { chain }: Surroundings): Network {
  return networkOfPedal({ build, isOn: chain?.isOn ?? true }, temperatureK);
}

/** The network of a pedal, on or bypassed, with all that is around it. */
export function withSurroundings(network: Network, { instrument, load, chain }: Surroundings): Network {
  const chained = chain ? inChain(network, chain) : network;
  const loaded = load ? withOutputLoad(chained, load) : chained;
  return instrument ? withInstrument(loaded, instrument) : loaded;
}

/**
 * In a sentence or two: "Before the pedal a single-coil pickup and 6 m of cable, after it 3 m of cable into an amplifier." Volume
 * and tone of the guitar are said where they are not full up; before it stands what else is in the chain.
 */
export function surroundingsText(around: Surroundings): string {
  const others = around.chain && placeText(around.chain);
  const ends = endsText(around);
  return others === undefined ? ends : `${others} ${ends}`;
}

/** What is around a whole chain, with the cables between its pedals; of a lone pedal the same as `surroundingsText`. */
export function aroundChainText(around: Surroundings): string {
  const { chain } = around;
  const cables = chain ? [...chain.before, chain, ...chain.after].slice(0, -1) : [];
  if (cables.length === 0) return endsText(around);
  const lengths = listed(cables.map(({ cableMetres }) => cableText(cableMetres)));
  return `Between the pedals ${lengths}. ${endsText(around)}`;
}

function endsText({ instrument, load, chain }: Surroundings): string {
  const isChain = chain !== undefined && chain.before.length + chain.after.length > 0;
  const player = isChain ? 'the chain' : 'the pedal';
  const before = instrument && `before ${player} ${guitarText(instrument)}`;
  const after = load && `after ${before ? 'it' : player} ${outputLoadText(load)}`;
  const ends = [before, after].filter((part) => part !== undefined);
  return ends.length > 0
    ? `${capitalised(ends.join(', '))}.`
    : `No pickup is before ${player}, and its output is left open.`;
}

/** The same for two builds: once, or for each where they differ. */
export function bothSurroundingsText(a: Surroundings, b: Surroundings): string {
  return ofBoth(surroundingsText(a), surroundingsText(b));
}

/** `aroundChainText` for two chains. */
export function aroundBothChainsText(a: Surroundings, b: Surroundings): string {
  return ofBoth(aroundChainText(a), aroundChainText(b));
}

function ofBoth(one: string, other: string): string {
  return one === other ? one : `A: ${one} B: ${other}`;
}

/** Pedal 2 of 3: before it "Mid lift" (off) and 0.3 m of cable, after it 0.3 m of cable and "Plain build". */
function placeText({ before, after, isOn, cableMetres }: ChainPlace): string | undefined {
  const count = before.length + 1 + after.length;
  if (count === 1) return undefined;
  const [first, behind] = [
    before.flatMap((pedal) => [pedalText(pedal), cableText(pedal.cableMetres)]),
    after.flatMap((pedal, index) => [
      cableText(index === 0 ? cableMetres : after[index - 1]!.cableMetres),
      pedalText(pedal),
    ]),
  ].map(listed);
  const parts = [first && `before it ${first}`, behind && `after it ${behind}`].filter(Boolean);
  return `Pedal ${before.length + 1} of ${count}${isOn ? '' : ' (off)'}: ${parts.join(', ')}.`;
}

function pedalText({ build, isOn }: ChainPedal): string {
  const title = quoted(buildTitle(build), SHOWN_TITLE_CHARACTERS);
  return isOn ? title : `${title} (off)`;
}

function cableText(metres: number): string {
  return `${metres}\u00a0m of cable`;
}

/** "a, b and c". */
export function listed(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? '') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

function capitalised(text: string): string {
  return text[0]!.toUpperCase() + text.slice(1);
}

function guitarText(instrument: Instrument): string {
  const pickup = `a ${PICKUPS[instrument.pickup].title} pickup`;
  const cable = cableText(instrument.cableMetres);
  return isFullUp(instrument)
    ? `${pickup} and ${cable}`
    : `${pickup}, volume and tone ${turnedText(instrument)}, and ${cable}`;
}
