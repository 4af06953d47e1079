import type { AudioSession } from '../../ui/audio/audio-session.ts';
import type { Telemetry } from '../../ui/audio/telemetry.ts';

const MOST_SECONDS = 20;

/**
 * Plays for a number of seconds and gives the measurements over them. The audio thread counts the seconds: on a busy
 * machine it falls behind the clock.
 */
export async function played(session: AudioSession, seconds: number): Promise<Telemetry> {
  session.measureLoudness();
  const end = performance.now() + 1000 * MOST_SECONDS;
  for (;;) {
    const telemetry = session.readTelemetry();
    if (telemetry.measuredSeconds >= seconds) return telemetry;
    if (performance.now() > end)
      throw new Error(`in ${MOST_SECONDS} seconds ${telemetry.measuredSeconds} sounded`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
