import { assert } from 'chai';
import { encodeWav } from '../../engine/audio/wav.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import { AudioSession } from '../../ui/audio/audio-session.ts';
import { listInputs } from '../../ui/audio/live-input.ts';
import { RECORDINGS } from '../../ui/audio/recordings.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { type FakeInput, fakeInput, stubInputs } from './fake-input.ts';
import { until } from './until.ts';

const TONE_PEAK = 0.5;

/** A second of a tone as a file of the user. */
function toneFile(): File {
  const sampleRateHz = 44_100;
  const tone = Float64Array.from(
    { length: sampleRateHz },
    (_, n) => TONE_PEAK * Math.sin((2 * Math.PI * 200 * n) / sampleRateHz),
  );
  return new File([new Uint8Array(encodeWav({ channels: [tone], sampleRateHz }))], 'tone.wav');
}

/** Sample rate of the output, which differs between machines. */
async function rateHereHz(): Promise<number> {
  const context = new AudioContext();
  await context.close();
  return context.sampleRate;
}

describe('the audio session', () => {
  let session: AudioSession;
  let inputs: FakeInput[] = [];
  let restore = () => {};

  beforeEach(() => {
    session = new AudioSession();
  });

  afterEach(async () => {
    await session.stop();
    restore();
    restore = () => {};
    for (const input of inputs) input.close();
    inputs = [];
  });

  function offer(options: Parameters<typeof fakeInput>[0]): FakeInput {
    const input = fakeInput(options);
    inputs.push(input);
    return input;
  }

  /** Answers requests for an input, and records what was requested. */
  function answer(getUserMedia: () => Promise<MediaStream>): MediaStreamConstraints[] {
    const asked: MediaStreamConstraints[] = [];
    restore = stubInputs((constraints) => {
      asked.push(constraints);
      return getUserMedia();
    });
    return asked;
  }

  /** Waits until the telemetry meets a condition; the audio thread reports 30 times a second. */
  function heard(what: string, isSo: () => boolean): Promise<void> {
    return until(() => `${what}; ${JSON.stringify(session.readTelemetry())}`, isSo);
  }

  /**
   * The level meter settles on a steady tone within its 0.3 s; one percent is much less than the accuracy of a
   * calibration.
   */
  const inputIs = (rmsVolts: number) =>
    heard(
      `${rmsVolts} V at the input`,
      () => Math.abs(session.readTelemetry().inputRmsV - rmsVolts) <= 0.01 * rmsVolts,
    );
  const inputIsSilent = () =>
    heard('silence at the input', () => session.readTelemetry().inputRmsV < 0.01 * TONE_PEAK);

  it('starts once however often it is told to start, running and muted', async () => {
    await Promise.all([session.start(), session.start()]);
    await session.start();
    const { isRunning, isMuted, usesFallback, latency, sampleRateHz } = session.state;
    assert.deepEqual(
      { isRunning, isMuted, usesFallback },
      { isRunning: true, isMuted: true, usesFallback: false },
    );
    assert.equal(session.circuitRateHz, 8 * sampleRateHz);
    // 1 ms of look-ahead and some 5 samples of resampling.
    assert.closeTo(latency.engineMs, 1.1, 0.1);
  });

  it('plays a build when it is unmuted, with the circuits and settings that it got before the start', async () => {
    session.setCircuit(
      'a',
      compileCircuit(networkOf(presetNamed('soft-plain'), NOMINAL_TEMPERATURE_K), {
        sampleRateHz: 8 * (await rateHereHz()),
      }),
    );
    session.setSettings({ outputDb: 0, standIn: false });
    await session.useSource({ kind: 'file', file: toneFile() });
    await inputIs(TONE_PEAK * Math.SQRT1_2);
    assert.equal(session.readTelemetry().outputPeak, 0);
    session.setMuted(false);
    await heard('a sound', () => session.readTelemetry().outputPeak > 0.05);
    session.setMuted(true);
    await heard('silence', () => session.readTelemetry().outputPeak === 0);
  });

  it('uses the full scale of a file in place of that of the interface, also when it is set later', async () => {
    session.setInterfaceVolts(2);
    await session.useSource({ kind: 'file', file: toneFile() });
    await inputIs(2 * TONE_PEAK * Math.SQRT1_2);
    session.setInterfaceVolts(3);
    await inputIs(3 * TONE_PEAK * Math.SQRT1_2);
  });

  it('plays a recording at its assumed volts, whatever the interface is', async () => {
    session.setInterfaceVolts(10);
    const { id, peakVolts } = RECORDINGS[0]!;
    await session.useSource({ kind: 'recording', id });
    await heard('the recording', () => session.readTelemetry().inputPeakV > 0.1 * peakVolts);
    assert.isAtMost(session.readTelemetry().inputPeakV, 1.001 * peakVolts);
    assert.equal(session.readTelemetry().inputClips, 0);
  });

  it('plays the plucked string at the volts of a guitar', async () => {
    await session.useSource({ kind: 'string' });
    // The phrase has a peak of 0.3 V, and its first note reaches more than half of it.
    await heard('the string', () => session.readTelemetry().inputPeakV > 0.15);
    assert.isAtMost(session.readTelemetry().inputPeakV, 0.3001);
  });

  it('opens exactly the chosen input, and asks for no processing', async () => {
    const input = offer({ right: TONE_PEAK });
    const asked = answer(async () => input.stream);
    await session.useSource({ kind: 'live', deviceId: 'the-interface', channel: 0 });
    assert.deepEqual(asked, [
      {
        audio: {
          deviceId: { exact: 'the-interface' },
          echoCancellation: false,
          noiseSuppression: false,
          autoGainControl: false,
          channelCount: { ideal: 2 },
        },
      },
    ]);
  });

  it('reports which processing the browser kept on', async () => {
    const input = offer({ settings: { echoCancellation: true, noiseSuppression: false, channelCount: 2 } });
    answer(async () => input.stream);
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    assert.deepEqual(session.state.input?.keptOn, ['echo cancellation']);
    assert.equal(session.state.input?.channelCount, 2);
  });

  it('plays only the chosen channel, in volts of the interface', async () => {
    const input = offer({ right: TONE_PEAK });
    answer(async () => input.stream.clone());
    session.setInterfaceVolts(2);
    await session.useSource({ kind: 'live', deviceId: '', channel: 1 });
    await inputIs(2 * TONE_PEAK * Math.SQRT1_2);
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    await inputIsSilent();
  });

  it('refuses the second channel of an input with one channel', async () => {
    const input = offer({ settings: { channelCount: 1 } });
    answer(async () => input.stream);
    await session.useSource({ kind: 'live', deviceId: '', channel: 1 });
    assert.include(session.state.problems.source, 'has one channel only');
    assert.equal(input.track.readyState, 'ended');
  });

  const refusals: [name: string, DOMException['name'], says: RegExp][] = [
    ['is not allowed', 'NotAllowedError', /^The browser was not allowed.*Allow the microphone/],
    ['is not there at all', 'NotFoundError', /^No input was found\. Connect/],
    ['is gone', 'OverconstrainedError', /^That input is no longer there\. Connect it/],
    ['is in use elsewhere', 'NotReadableError', /in use by another program\. Close that/],
  ];
  for (const [name, error, says] of refusals) {
    it(`reports what to do about an input that ${name}, and the earlier source continues to play`, async () => {
      const source = { kind: 'file', file: toneFile() } as const;
      await session.useSource(source);
      answer(() => Promise.reject(new DOMException('from the browser', error)));
      await session.useSource({ kind: 'live', deviceId: 'x', channel: 0 });
      assert.match(session.state.problems.source ?? '', says);
      assert.equal(session.state.source, source);
      await inputIs(TONE_PEAK * Math.SQRT1_2);
    });
  }

  it('continues in silence when the input is unplugged, and then plays another source', async () => {
    const input = offer({ left: TONE_PEAK });
    answer(async () => input.stream);
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    await inputIs(TONE_PEAK * Math.SQRT1_2);
    const told: (string | undefined)[] = [];
    session.addEventListener('change', () => told.push(session.state.problems.source));
    input.unplug();
    assert.match(session.state.problems.source ?? '', /was disconnected\. Connect it and choose it again/);
    assert.deepEqual([session.state.source.kind, session.state.input], ['none', undefined]);
    // Once, with the source and the reason together.
    assert.equal(told.length, 1);
    await inputIsSilent();
    assert.isTrue(session.state.isRunning);
    await session.useSource({ kind: 'file', file: toneFile() });
    await inputIs(TONE_PEAK * Math.SQRT1_2);
    assert.isUndefined(session.state.problems.source);
  });

  it('closes the input when another source is chosen', async () => {
    const input = offer({});
    answer(async () => input.stream);
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    await session.useSource({ kind: 'none' });
    assert.equal(input.track.readyState, 'ended');
    assert.isUndefined(session.state.problems.source);
  });

  it('follows the last of two choices, and opens no input for the first', async () => {
    const input = offer({ left: TONE_PEAK });
    let open = (_: MediaStream) => {};
    answer(() => new Promise((resolve) => (open = resolve)));
    const first = session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    await session.start();
    await session.useSource({ kind: 'none' });
    open(input.stream);
    await first;
    assert.equal(session.state.source.kind, 'none');
    assert.equal(input.track.readyState, 'ended');
  });

  it('reports that a file is not a recording, and the earlier source continues to play', async () => {
    const source = { kind: 'file', file: toneFile() } as const;
    await session.useSource(source);
    for (const content of ['no sound', 'RIFF, and then nonsense', 'fLaC']) {
      await session.useSource({ kind: 'file', file: new File([content], 'notes.txt') });
      assert.include(session.state.problems.source, 'notes.txt', content);
      assert.equal(session.state.source, source);
    }
  });

  it('reports that a recording could not be loaded', async () => {
    const { fetch } = window;
    restore = () => {
      window.fetch = fetch;
    };
    window.fetch = () => Promise.reject(new TypeError('Failed to fetch'));
    const { id } = RECORDINGS[0]!;
    await session.useSource({ kind: 'recording', id });
    assert.equal(session.state.problems.source, `The recording "${id}" could not be loaded.`);
  });

  it('reports that the browser opens no inputs', async () => {
    Object.defineProperty(navigator, 'mediaDevices', { value: undefined, configurable: true });
    restore = () => Reflect.deleteProperty(navigator, 'mediaDevices');
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    assert.include(session.state.problems.source, 'use the address localhost, or https');
    assert.deepEqual(await listInputs(), []);
  });

  it('reports when inputs are connected and removed', async () => {
    await session.start();
    let count = 0;
    session.addEventListener('devices', () => count++);
    navigator.mediaDevices.dispatchEvent(new Event('devicechange'));
    assert.equal(count, 1);
  });

  it('can be stopped and started again, and closes the input', async () => {
    const input = offer({ left: TONE_PEAK });
    answer(async () => input.stream);
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    await session.stop();
    assert.equal(input.track.readyState, 'ended');
    assert.deepEqual([session.state.isRunning, session.state.source.kind], [false, 'none']);
    await session.useSource({ kind: 'file', file: toneFile() });
    assert.isTrue(session.state.isRunning);
    await inputIs(TONE_PEAK * Math.SQRT1_2);
  });

  it('reports why sound does not start (for example without an output), and starts when it is told to start once more', async () => {
    Object.defineProperty(AudioContext.prototype, 'state', { value: 'suspended', configurable: true });
    const { resume } = AudioContext.prototype;
    AudioContext.prototype.resume = () => new Promise(() => {});
    restore = () => {
      Reflect.deleteProperty(AudioContext.prototype, 'state');
      AudioContext.prototype.resume = resume;
    };
    void session.useSource({ kind: 'string' });
    await new Promise<void>((resolve) => {
      session.addEventListener('change', () => session.state.problems.sound !== undefined && resolve());
    });
    assert.match(session.state.problems.sound ?? '', /^Sound does not start: /);
    assert.isFalse(session.state.isRunning);
    restore();
    await session.useSource({ kind: 'file', file: toneFile() });
    assert.deepEqual([session.state.isRunning, session.state.problems], [true, {}]);
    await inputIs(TONE_PEAK * Math.SQRT1_2);
  });

  it('may be stopped while it starts, and then does not continue the start', async () => {
    const rateBefore = session.state.sampleRateHz;
    let changes = 0;
    const starting = session.start();
    await session.stop();
    session.addEventListener('change', () => changes++);
    await starting;
    const { isRunning, problems, sampleRateHz } = session.state;
    assert.deepEqual([isRunning, problems, sampleRateHz, changes], [false, {}, rateBefore, 0]);
    await session.useSource({ kind: 'file', file: toneFile() });
    await inputIs(TONE_PEAK * Math.SQRT1_2);
  });

  it('plays Chromium’s fake input, which beeps', async () => {
    const [device] = await listInputs();
    assert.isDefined(device);
    await session.useSource({ kind: 'live', deviceId: device!.id, channel: 0 });
    assert.isUndefined(session.state.problems.source);
    assert.deepEqual(session.state.input?.keptOn, []);
    assert.isNotEmpty(session.state.input?.label);
    await heard('a beep', () => session.readTelemetry().inputPeakV > 0.01);
  });
});
