import { type KeptDevice, keepDevice, keptDevice, playTo } from './kept-devices.ts';
import type { SessionStatus } from './session-status.ts';

/**
 * Plays to the output of the last visit. One that is not there is no longer shown as chosen, but stays kept for the next start.
 *
 * @param isOpen Whether the context is still that of the session.
 */
export async function playToKeptOutput(
  status: SessionStatus,
  context: AudioContext,
  isOpen: () => boolean,
): Promise<void> {
  const output = status.state.output ?? keptDevice('output-device');
  if (!output) return;
  const problem = await playTo(context, output, undefined);
  if (!isOpen()) return;
  status.report('outputDevice', problem);
  status.change({ output: problem === undefined ? output : undefined });
}

/**
 * Plays to another output, now and on the next visit; undefined for the system's.
 *
 * @param context Undefined while sound is off.
 */
export async function useOutput(
  status: SessionStatus,
  context: AudioContext | undefined,
  output: KeptDevice | undefined,
): Promise<void> {
  const problem = context && (await playTo(context, output, status.state.output));
  status.report('outputDevice', problem);
  if (problem !== undefined) return;
  keepDevice('output-device', output);
  // A measured delay is that of the output before.
  status.change({ output, roundTrip: undefined });
}
