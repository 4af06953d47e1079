import { inputCorrection } from '../../engine/analysis/input-correction.ts';
import { noiseFilter } from '../../engine/analysis/noise-filter.ts';
import { HOP_SECONDS, HOPS_PER_BLOCK } from '../../engine/audio/loudness.ts';
import type { OversamplingFactor } from '../../engine/audio/oversampler.ts';
import { speakerResponse } from '../../engine/audio/speaker.ts';
import type { Instrument } from '../../engine/builds/instrument.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { BuildVoice, type SolvedBlock } from '../../worklets/build-voice.ts';
import { SlotInputs } from '../../worklets/slot-inputs.ts';
import type { OwnSpeaker } from '../state/bench-state.ts';
import { networkAsPlayed, type PlayedBuild, pedalAsPlayed } from '../state/played-network.ts';
import { restNoise } from '../state/rest-noise.ts';

/** A build as it is heard, and the notes over which its loudness is wanted. */
export interface LoudnessPlan {
  readonly played: PlayedBuild;
  /** Undefined for none. */
  readonly speaker: OwnSpeaker | 'built in' | undefined;
  /** A live guitar, whose interface is corrected for each build; undefined for none. */
  readonly liveGuitar: Instrument | undefined;
  readonly hearsNoise: boolean;
  readonly phrase: LoudnessPhrase;
}

/** Volts at the pedal's input. */
export interface LoudnessPhrase {
  readonly inputV: Float32Array;
  readonly sampleRateHz: number;
  /** It plays in a loop, so what rings from its end belongs to its start. */
  readonly isLoop: boolean;
}

/**
 * Level needs no more: with four presets and three recordings the loudness is within 0.002 dB of that at 16x, which takes
 * seven times as long.
 */
const FACTOR: OversamplingFactor = 2;
const BLOCK_FRAMES = 512;
/** The end of a loop is played ahead of it for so long: more than the impulse response of a speaker. */
const LEAD_IN_SECONDS = 0.5;
/** The loudest passage, and its first part, in which the circuit comes to play: the rest has some blocks of 400 ms. */
const PASSAGE_SECONDS = 0.8;
const PASSAGE_LEAD_IN_SECONDS = 0.1;
const STEPS = 8;
/** As in the live measurement, blocks of 400 ms begin throughout the loop. */
const OVERLAP_SECONDS = (HOPS_PER_BLOCK - 1) * HOP_SECONDS;
const UNSOLVED: SolvedBlock = { isRunnerSolved: false, isIncomingSolved: false };

/** Loudness of a build, dB of 1 V; −Infinity in silence. */
export interface BuildLoudness {
  /** Over the loudest passage. */
  readonly passage: number;
  /** Over the whole phrase. */
  readonly whole: number;
}

/**
 * Loudness of a build over a phrase, as the bench measures it while it plays (ITU-R BS.1770-5 with both gates, behind
 * hiss and speaker). Through the same code as the audio thread.
 *
 * @param onPassage Called with the loudness of the loudest passage, which is known in a tenth of a second: two builds
 * differ there by nearly as much as over all. @throws BuildError, NetworkError, OperatingPointError.
 */
export function voiceLoudness(
  plan: LoudnessPlan,
  onPassage: (loudness: number) => void = () => {},
): BuildLoudness {
  const { inputV, sampleRateHz, isLoop } = plan.phrase;
  const voice = voiceOf(plan);
  const play = playerOf(plan, voice);
  const start = loudestPassage(inputV, sampleRateHz);
  const measured = start + Math.round(PASSAGE_LEAD_IN_SECONDS * sampleRateHz);
  play(inputV.subarray(start, measured));
  voice.measureLoudness();
  play(inputV.subarray(measured, start + passageFrames(sampleRateHz)));
  const passage = voice.loudness;
  onPassage(passage);
  if (isLoop) play(inputV.subarray(-Math.round(LEAD_IN_SECONDS * sampleRateHz)));
  voice.measureLoudness();
  play(inputV);
  if (isLoop) play(inputV.subarray(0, Math.round(OVERLAP_SECONDS * sampleRateHz)));
  return { passage, whole: voice.loudness };
}

function passageFrames(sampleRateHz: number): number {
  return Math.round(PASSAGE_SECONDS * sampleRateHz);
}

/** First frame of the passage with the most energy, found in steps of a tenth of it; 0 for a shorter phrase. */
function loudestPassage(inputV: Float32Array, sampleRateHz: number): number {
  const step = Math.round(passageFrames(sampleRateHz) / STEPS);
  const energies = Array.from({ length: Math.floor(inputV.length / step) }, (_, index) =>
    inputV.subarray(index * step, (index + 1) * step).reduce((sum, volts) => sum + volts * volts, 0),
  );
  let loudest = { start: 0, energy: 0 };
  for (let index = 0; index + STEPS <= energies.length; index++) {
    const energy = energies.slice(index, index + STEPS).reduce((sum, each) => sum + each, 0);
    if (energy > loudest.energy) loudest = { start: index * step, energy };
  }
  return loudest.start;
}

function voiceOf({ played, speaker, hearsNoise, liveGuitar, phrase }: LoudnessPlan): BuildVoice {
  const { sampleRateHz } = phrase;
  const options = { sampleRateHz, factor: FACTOR, quality: 'low-latency', maxFrames: BLOCK_FRAMES } as const;
  const voice = new BuildVoice(options, 1);
  if (typeof speaker === 'object')
    voice.setSpeaker(speakerResponse(speaker.samples, speaker.sampleRateHz, sampleRateHz));
  voice.setStandIn(speaker !== undefined);
  if (hearsNoise) {
    const { build, temperatureC, isBypassed, instrument = liveGuitar, load, chain } = played;
    const noise = restNoise(build, { temperatureC, isBypassed, around: { instrument, load, chain } });
    voice.setNoise(noiseFilter(noise?.points ?? [], sampleRateHz).coefficients);
  }
  voice.load(compileCircuit(networkAsPlayed(played), { sampleRateHz: sampleRateHz * FACTOR }));
  return voice;
}

function playerOf({ played, liveGuitar, phrase }: LoudnessPlan, voice: BuildVoice) {
  const inputs = new SlotInputs(phrase.sampleRateHz, BLOCK_FRAMES);
  if (liveGuitar)
    inputs.correct('a', inputCorrection(pedalAsPlayed(played), liveGuitar, phrase.sampleRateHz).coefficients);
  const block = new Float64Array(BLOCK_FRAMES);
  return (volts: Float32Array): void => {
    for (let start = 0; start < volts.length; start += BLOCK_FRAMES) {
      const piece = volts.subarray(start, start + BLOCK_FRAMES);
      block.set(piece);
      inputs.process(block, piece.length);
      voice.process(inputs.a, piece.length, UNSOLVED);
    }
  };
}
