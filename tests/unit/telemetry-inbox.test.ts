import { describe, expect, it } from 'vitest';
import { TelemetryInbox } from '../../ui/audio/telemetry.ts';
import { MOST_MEASUREMENTS, TELEMETRY, TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';

/** Telemetry with a loudness that was measured under this number. */
function told(measurement: number): TelemetryInbox {
  const values = new Float32Array(TELEMETRY_LENGTH);
  values[TELEMETRY.inputPeakV] = 0.5;
  values[TELEMETRY.loudnessA] = -20;
  values[TELEMETRY.loudnessB] = -17;
  values[TELEMETRY.measuredSeconds] = 8;
  values[TELEMETRY.measurement] = measurement;
  const inbox = new TelemetryInbox();
  inbox.receive(values);
  return inbox;
}

describe('telemetry', () => {
  it('gives a loudness to the caller of its own measurement', () => {
    expect(told(3).read(3)).toMatchObject({ loudnessA: -20, loudnessB: -17, measuredSeconds: 8 });
  });

  it('does not give a loudness of another measurement, but gives all the rest', () => {
    const nothing = {
      loudnessA: Number.NEGATIVE_INFINITY,
      loudnessB: Number.NEGATIVE_INFINITY,
      measuredSeconds: 0,
    };
    expect(told(3).read(4)).toMatchObject({ ...nothing, inputPeakV: 0.5 });
    expect(told(MOST_MEASUREMENTS - 1).read(MOST_MEASUREMENTS)).toMatchObject(nothing);
  });
});
