import { Refusal } from '../../engine/input/refusal.ts';
import { type Thrown, thrown } from '../thrown.ts';

/** An input of the machine, for the menu. */
export interface InputDevice {
  readonly id: string;
  readonly label: string;
}

/** Actual settings of an input, read back from the track. */
export interface LiveInputFacts {
  readonly label: string;
  readonly sampleRateHz: number | undefined;
  readonly channelCount: number | undefined;
  /** Processing that the browser kept on though it was asked not to, in words. */
  readonly keptOn: readonly string[];
}

/** An open input. */
export interface LiveInput {
  readonly stream: MediaStream;
  readonly facts: LiveInputFacts;
  close(): void;
}

/** An input that cannot be opened; the message says in plain words why and what to do. */
export class InputError extends Refusal {
  constructor(message: string) {
    super('input', message);
  }
}

/** Processing that would falsify a guitar. */
const UNWANTED = {
  echoCancellation: 'echo cancellation',
  noiseSuppression: 'noise suppression',
  autoGainControl: 'automatic gain',
} as const;

/** Inputs that the browser shows to the page; labels are empty until an input has been allowed once. */
export async function listInputs(): Promise<readonly InputDevice[]> {
  const devices = (await navigator.mediaDevices?.enumerateDevices?.().catch(() => [])) ?? [];
  return devices
    .filter(({ kind }) => kind === 'audioinput')
    .map(({ deviceId, label }, index) => ({ id: deviceId, label: label || `Input ${index + 1}` }));
}

/**
 * Opens exactly the device that was chosen, with all processing off.
 *
 * @param deviceId Empty for the system's default. @param onEnded The device was disconnected.
 * @throws InputError in plain words; never another device instead.
 */
export async function openLiveInput(deviceId: string, onEnded: () => void): Promise<LiveInput> {
  if (!navigator.mediaDevices?.getUserMedia) {
    throw new InputError('This browser opens no inputs here: use the address localhost, or https.');
  }
  const stream = await requestStream(deviceId);
  const track = stream.getAudioTracks()[0];
  if (track?.readyState !== 'live') throw new InputError('The input delivers no sound: choose another.');
  track.onended = onEnded;
  return {
    stream,
    facts: factsOf(track),
    close: () => {
      track.onended = null;
      for (const each of stream.getTracks()) each.stop();
    },
  };
}

async function requestStream(deviceId: string): Promise<MediaStream> {
  try {
    return await navigator.mediaDevices.getUserMedia({
      audio: {
        ...(deviceId === '' ? {} : { deviceId: { exact: deviceId } }),
        echoCancellation: false,
        noiseSuppression: false,
        autoGainControl: false,
        channelCount: { ideal: 2 },
      },
    });
  } catch (error) {
    throw new InputError(reasonOf(thrown(error), deviceId));
  }
}

const NO_INPUT = 'No input was found. Connect the audio interface, then choose it again.';

function reasonOf({ name, message }: Thrown, deviceId: string): string {
  switch (name) {
    case 'NotAllowedError':
      return 'The browser was not allowed to open the input. Allow the microphone for this page, then choose the input again.';
    case 'NotFoundError':
      return NO_INPUT;
    case 'OverconstrainedError':
      // WebKit says so too where there is no input at all.
      return deviceId === ''
        ? NO_INPUT
        : 'That input is no longer there. Connect it again, or choose another.';
    case 'NotReadableError':
      return 'The input is in use by another program. Close that, then choose the input again.';
    default:
      return `The input could not be opened (${message}).`;
  }
}

function factsOf(track: MediaStreamTrack): LiveInputFacts {
  const settings = track.getSettings();
  const keptOn = (Object.keys(UNWANTED) as (keyof typeof UNWANTED)[])
    .filter((name) => settings[name] === true)
    .map((name) => UNWANTED[name]);
  return {
    label: track.label,
    sampleRateHz: settings.sampleRate,
    channelCount: settings.channelCount,
    keptOn,
  };
}
