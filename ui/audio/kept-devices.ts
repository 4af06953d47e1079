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

/** Plays to an output; undefined for the system's. @param before Where it plays otherwise. @returns What is wrong, in sentences. */
export async function playTo(
  context: AudioContext,
  device: KeptDevice | undefined,
  before: KeptDevice | undefined,
): Promise<string | undefined> {
  const { setSinkId } = context as SinkContext;
  if (!setSinkId) return undefined;
  try {
    await setSinkId.call(context, device?.id ?? '');
    return undefined;
  } catch (error) {
    const { name, message } = thrown(error);
    const why = name === 'NotFoundError' ? 'is not there' : `cannot be used (${message})`;
    const what = device ? `The output "${device.label}"` : 'The system’s output';
    const other = before ? `"${before.label}"` : 'the system’s output';
    return `${what} ${why}. The sound goes to ${other}. Choose an output under Sound…`;
  }
}

/**
 * Live inputs that can be chosen though the browser does not list them: the one that was chosen, that of the last visit,
 * and, until the browser names any, whichever it gives. An id is '' for that one.
 */
export function unlistedInputs(
  listed: readonly KeptDevice[],
  chosenId: string | undefined,
  last: KeptDevice | undefined,
): readonly KeptDevice[] {
  const ids = [...new Set([chosenId, listed.length === 0 ? last?.id : undefined])];
  const missing = ids.filter((id) => id !== undefined && id !== '' && !listed.some((each) => each.id === id));
  const unlisted = missing.map((id) => ({
    id: id!,
    label: id === last?.id ? `${last?.label} (last input)` : 'Input that was chosen',
  }));
  const isOpenOffered = listed.length === 0 || chosenId === '';
  return isOpenOffered ? [...unlisted, { id: '', label: 'Open an input…' }] : unlisted;
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
