import type { AudioSession } from '../../ui/audio/audio-session.ts';
import type { Telemetry } from '../../ui/audio/telemetry.ts';
import { until } from './until.ts';

/**
 * Plays for a number of seconds and gives the measurements over them. The audio thread counts the seconds: on a busy
 * machine it falls behind the clock.
 */
export async function played(session: AudioSession, seconds: number): Promise<Telemetry> {
  session.measureLoudness();
  let telemetry = session.readTelemetry();
  await until(
    () => `${seconds} s of sound, but ${telemetry.measuredSeconds}`,
    () => {
      telemetry = session.readTelemetry();
      return telemetry.measuredSeconds >= seconds;
    },
  );
  return telemetry;
}
