import type { Build } from '../builds/build.ts';
import { serialiseBuild } from '../builds/build-file.ts';
import { type Chain, type ChainPlace, chainWith, LONE } from '../builds/chain.ts';
import { chainDifferences, chainTitle } from '../builds/chain-swaps.ts';
import { circuitSwapLines } from '../builds/circuit-swaps.ts';
import { swapsBetween } from '../builds/swaps.ts';
import type { BlindTestOutcome } from './blind-test.ts';
import { blindTestPlan, percent, USUAL_LEVEL } from './blind-test-plan.ts';

/** Subject of a finished test, given by the caller. */
export interface BlindTestSubject {
  readonly a: Build;
  readonly b: Build;
  /** Where each stands in its chain, if one does. */
  readonly places?: Readonly<Record<'a' | 'b', ChainPlace>>;
  /** What was played: the name of a recording, "riff loop", or "live input". */
  readonly source: string;
  /** How much louder B was made before the test so that both are equal, dB. */
  readonly gainOfBDb: number;
  /** When it ended, ISO 8601. */
  readonly finishedAt: string;
}

/** A finished test with both builds. */
export interface BlindTestReport {
  readonly subject: BlindTestSubject;
  readonly outcome: BlindTestOutcome;
  /** What the numbers mean and do not mean. */
  readonly sentences: readonly string[];
}

export function blindTestReport(subject: BlindTestSubject, outcome: BlindTestOutcome): BlindTestReport {
  return { subject, outcome, sentences: outcomeSentences(outcome) };
}

/** What a result means and what it does not, in plain sentences. */
export function outcomeSentences(outcome: BlindTestOutcome): readonly string[] {
  return outcome.preferred === undefined ? abxSentences(outcome) : preferenceSentences(outcome);
}

function abxSentences({ trials, correct = 0, chanceProbability }: BlindTestOutcome): readonly string[] {
  const score = `${correct} of ${trials.length} right: by guessing, a result as good or better comes ${percent(chanceProbability)} of the time.`;
  if (chanceProbability <= USUAL_LEVEL) {
    return [
      score,
      'So you very likely heard a difference, with this guitar, this level and these ears.',
      'It does not say how large the difference is, which build is better, or whether others hear it.',
    ];
  }
  const { text } = blindTestPlan(trials.length);
  return [
    score,
    'So the test did not show that you hear a difference.',
    'It does not show that there is none, or that nobody hears it.',
    text,
  ];
}

function preferenceSentences({ trials, preferred, chanceProbability }: BlindTestOutcome): readonly string[] {
  const { a, b } = preferred ?? { a: 0, b: 0 };
  const score = `A was preferred ${a} times and B ${b} times of ${trials.length}: without a preference, a split as uneven or more comes ${percent(chanceProbability)} of the time.`;
  if (chanceProbability <= USUAL_LEVEL) {
    return [
      score,
      `So you very likely prefer ${a > b ? 'A' : 'B'}, with this guitar and this level.`,
      'It does not say that others do, or that you would with another guitar.',
    ];
  }
  return [
    score,
    'So the test did not show a preference.',
    'It does not show that both sound alike: that takes an ABX test.',
  ];
}

const FORMAT = 'cliplead-blind-test';
const VERSION = 1;

/** The report as JSON, with both builds as build files, every answer, and every void trial with its reason. */
export function blindTestJson({ subject, outcome, sentences }: BlindTestReport): string {
  const { a, b, places, ...rest } = subject;
  const builds = { a: buildData(a), b: buildData(b) };
  const chains = places && {
    chains: { a: chainData(chainOf(subject, 'a')), b: chainData(chainOf(subject, 'b')) },
  };
  const file = { format: FORMAT, version: VERSION, ...rest, ...outcome, sentences, builds, ...chains };
  return `${JSON.stringify(file, undefined, 2)}\n`;
}

function chainOf(subject: BlindTestSubject, slot: 'a' | 'b'): Chain {
  return chainWith(subject[slot], subject.places?.[slot] ?? LONE);
}

/** The pedals in the order of the signal. */
function chainData({ pedals }: Chain): unknown {
  return pedals.map((pedal) => ({ ...pedal, build: buildData(pedal.build) }));
}

function buildData(build: Build): unknown {
  return JSON.parse(serialiseBuild(build)) as unknown;
}

/** The report as text for a forum post or a notebook. */
export function blindTestText({ subject, outcome, sentences }: BlindTestReport): string {
  const [a, b] = [chainOf(subject, 'a'), chainOf(subject, 'b')];
  const swaps = subject.places ? chainDifferences(a, b, undefined) : differences(subject);
  const answers = outcome.trials.map(({ hidden, chosen }, index) => {
    const what =
      outcome.kind === 'abx'
        ? `X was ${hidden.toUpperCase()}, answered`
        : `1 was ${hidden.toUpperCase()}, preferred`;
    return `  ${index + 1}. ${what} ${chosen.toUpperCase()}`;
  });
  const lines = [
    outcome.kind === 'abx' ? 'Blind test (ABX)' : 'Blind test (preference)',
    `A: ${chainTitle(a)}`,
    `B: ${chainTitle(b)}, played at ${signed(subject.gainOfBDb)} dB so that both are equally loud`,
    `Played: ${subject.source}`,
    `Finished: ${subject.finishedAt}`,
    'A and B differ in:',
    ...(swaps.length > 0 ? swaps.map((line) => `  ${line}`) : ['  nothing']),
    '',
    ...sentences,
    '',
    'Trials:',
    ...answers,
    ...(outcome.voided.length > 0 ? [`Void and repeated: ${outcome.voided.join(', ')}`] : []),
  ];
  return `${lines.join('\n')}\n`;
}

function differences({ a, b }: BlindTestSubject): readonly string[] {
  const unlike = circuitSwapLines(a, b);
  if (unlike.length > 0) return unlike;
  return swapsBetween(a, b).map(
    ({ ref, name, before, after }) =>
      `${[ref, name].filter((word) => word !== '').join(' ')}: ${before} -> ${after}`,
  );
}

function signed(decibels: number): string {
  return `${decibels < 0 ? '' : '+'}${decibels.toFixed(2)}`;
}
