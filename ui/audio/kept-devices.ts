import { readJson } from '../../engine/input/json.ts';
import { keptTexts } from '../storage/kept-texts.ts';
import { thrown } from '../thrown.ts';

/** An input or output of the machine, as the browser names it. */
export interface KeptDevice {
  readonly id: string;
  readonly label: string;
}

/** Not in the DOM types everywhere. */
interface SinkContext {
  setSinkId?(id: string): Promise<void>;
}

/** Whether the browser plays to another output than the system's. */
export function canChooseOutput(): boolean {
  return typeof AudioContext === 'function' && 'setSinkId' in AudioContext.prototype;
}

/** Outputs that the browser shows to the page: none before an input was allowed once. */
export async function listOutputs(): Promise<readonly KeptDevice[]> {
  const devices = (await navigator.mediaDevices?.enumerateDevices?.().catch(() => [])) ?? [];
  return devices
    .filter(({ kind, deviceId, label }) => kind === 'audiooutput' && deviceId !== '' && label !== '')
    .map(({ deviceId, label }) => ({ id: deviceId, label }));
}

/** Plays to an output; undefined for the system's. @returns What is wrong, in a sentence. */
export async function playTo(
  context: AudioContext,
  device: KeptDevice | undefined,
): Promise<string | undefined> {
  const { setSinkId } = context as SinkContext;
  if (!setSinkId) return undefined;
  try {
    await setSinkId.call(context, device?.id ?? '');
    return undefined;
  } catch (error) {
    const { name, message } = thrown(error);
    const why = name === 'NotFoundError' ? 'is not there' : `cannot be used (${message})`;
    return `The output "${device?.label}" ${why}. The sound goes where it went before. Choose an output under Sound…`;
  }
}

export type KeptDeviceName = 'input-device' | 'output-device';

/** The device of an earlier visit. */
export function keptDevice(name: KeptDeviceName): KeptDevice | undefined {
  const { id, label } = (readJson(keptTexts.read(name) ?? '') ?? {}) as Partial<KeptDevice>;
  return typeof id === 'string' && typeof label === 'string' && label !== '' ? { id, label } : undefined;
}

export function keepDevice(name: KeptDeviceName, device: KeptDevice | undefined): void {
  keptTexts.keep(name, device && JSON.stringify(device));
}
