import { measuredPathMs, type PresentSound } from './measured-round-trip.ts';

/** How a delay between string and ear plays. */
export type DelayVerdict = 'good' | 'playable' | 'too long';

/**
 * Under 10 ms players rarely notice a delay, from 20 ms up most find it disturbing: about what sound takes through 3.4 m
 * and 7 m of air. Common practice; from memory.
 */
const GOOD_MS = 10;
const PLAYABLE_MS = 20;

export function delayVerdict(ms: number): DelayVerdict {
  if (ms < GOOD_MS) return 'good';
  return ms < PLAYABLE_MS ? 'playable' : 'too long';
}

/** What a browser says of itself and its system. */
type Agent = Pick<Navigator, 'userAgent'>;

/**
 * What shortens the delay in this browser on this system, most effective first; from memory, not measured.
 *
 * @param agent The browser.
 */
export function delayRemedies({ userAgent }: Agent): readonly string[] {
  const system = SYSTEMS.find(([pattern]) => pattern.test(userAgent))?.[1] ?? [];
  return [
    'Use headphones with a cable: wireless ones add 40 ms to 300 ms, which nothing here can see.',
    ...system,
    ...(isChromium(userAgent) || isApplePhone(userAgent)
      ? []
      : ['Try Chromium, Chrome or Edge: their buffers are mostly shorter.']),
    'Use one interface for input and output, both at the same rate.',
  ];
}

const SYSTEMS: readonly (readonly [userAgent: RegExp, remedies: readonly string[]])[] = [
  [/Android/, ['Use a computer: Android adds a delay that a page cannot shorten.']],
  [/iPhone|iPad/, []],
  [/Windows/, ['Set a small buffer, 128 samples or less, in the control panel of the interface’s driver.']],
  [/Mac OS X/, ['Set both devices to the same rate in the system’s audio and MIDI settings.']],
  [
    /Linux/,
    ['With PipeWire, set a quantum of 128 samples: pw-metadata -n settings 0 clock.force-quantum 128'],
  ],
];

function isChromium(userAgent: string): boolean {
  return /Chrom(e|ium)\//.test(userAgent);
}

/** All browsers there share one engine. */
function isApplePhone(userAgent: string): boolean {
  return /iPhone|iPad/.test(userAgent);
}

/** The delay from string to ear as far as it is known. */
export interface PlayedDelay {
  readonly ms: number;
  /** With a cable, so that nothing is missing. */
  readonly isMeasured: boolean;
  /** Only for a live input; for an estimate, which leaves out the interface, only if even that is too long. */
  readonly verdict: DelayVerdict | undefined;
}

export function playedDelay(sound: PresentSound): PlayedDelay {
  const { baseMs, outputMs, engineMs } = sound.latency;
  const pathMs = measuredPathMs(sound);
  const ms = engineMs + (pathMs ?? baseMs + (outputMs ?? 0));
  const verdict = delayVerdict(ms);
  const isMeasured = pathMs !== undefined;
  const isKnown = sound.input !== undefined && (isMeasured || verdict === 'too long');
  return { ms, isMeasured, verdict: isKnown ? verdict : undefined };
}

/** What the delay is made of, what is missing, and what it means, in sentences. */
export function delaySentences(sound: PresentSound): string {
  const { baseMs, outputMs, engineMs } = sound.latency;
  const { ms, isMeasured, verdict } = playedDelay(sound);
  const total = `${ms.toFixed(1)} ms${verdict === undefined ? '' : `: ${verdict}`}.`;
  if (isMeasured) return `${total} Measured with a cable, from string to ear.`;
  const output = outputMs === undefined ? '' : `output ${outputMs.toFixed(1)}, `;
  const missing = outputMs === undefined ? 'Output and interface are' : 'The input of the interface is';
  return `At least ${total} Estimated: browser ${baseMs.toFixed(1)}, ${output}circuit ${engineMs.toFixed(1)} ms. ${missing} not included: measure below.`;
}
