import { Refusal } from '../../engine/input/refusal.ts';
import { LOWEST_SAMPLE_RATE_HZ } from '../../worklets/bench-engine.ts';

/** Requested rate if that of the output device is too low; the browser then resamples. */
const USUAL_RATE_HZ = 48_000;

/** A context that cannot be had; the message is fit for the screen. */
export class OutputError extends Refusal {
  constructor(message: string) {
    super('output', message);
  }
}

/** A context at a rate that the bench can play at. */
export interface OutputContext {
  readonly context: AudioContext;
  /** A caution for the screen if the device runs at a lower rate. */
  readonly caution: string | undefined;
}

/** @throws OutputError where the browser plays nothing, or neither it nor the device has a rate that is high enough. */
export function openOutputContext(): OutputContext {
  if (typeof AudioContext !== 'function')
    throw new OutputError('This browser has no Web Audio, so there is no sound.');
  const latencyHint = 'interactive';
  const context = new AudioContext({ latencyHint });
  const { sampleRate } = context;
  if (sampleRate >= LOWEST_SAMPLE_RATE_HZ) return { context, caution: undefined };
  void context.close();
  const resampled = openedAt(USUAL_RATE_HZ, latencyHint);
  if (resampled) return { context: resampled, caution: cautionAt(sampleRate) };
  throw new OutputError(
    `The output device runs at ${kilohertz(sampleRate)}, as a headset does in call mode. The bench needs ${kilohertz(LOWEST_SAMPLE_RATE_HZ)} or more: choose another output device in the system, then press Listen.`,
  );
}

/** Whether the output device has a rate that is high enough by now; false where there is none to ask. */
export async function hasUsualOutput(): Promise<boolean> {
  try {
    const context = new AudioContext();
    const { sampleRate } = context;
    await context.close();
    return sampleRate >= LOWEST_SAMPLE_RATE_HZ;
  } catch {
    return false;
  }
}

function openedAt(rateHz: number, latencyHint: AudioContextLatencyCategory): AudioContext | undefined {
  try {
    const context = new AudioContext({ latencyHint, sampleRate: rateHz });
    if (context.sampleRate >= LOWEST_SAMPLE_RATE_HZ) return context;
    void context.close();
  } catch {
    // The browser does not resample.
  }
  return undefined;
}

function cautionAt(rateHz: number): string {
  return `The output device runs at ${kilohertz(rateHz)}, as a headset does in call mode: highs above ${kilohertz(rateHz / 2)} are missing. Choose another output device in the system to hear them.`;
}

function kilohertz(hz: number): string {
  return `${Number((hz / 1000).toFixed(1))} kHz`;
}

/** Message for a context that something other than the bench has stopped. */
export function haltSentence(state: AudioContextState): string {
  switch (state) {
    case 'closed':
      return 'The sound output was closed. Press Listen to open it again.';
    case 'interrupted':
      return 'The system has interrupted the sound, for a call or another program. Press Listen to go on.';
    default:
      return 'The browser has paused the sound. Press Listen to go on.';
  }
}
