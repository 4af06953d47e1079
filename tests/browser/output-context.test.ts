import { assert } from 'chai';
import type { LitElement } from 'lit';
import { AudioSession } from '../../ui/audio/audio-session.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { isOfDropouts } from './opened-bench.ts';
import { until } from './until.ts';

const Native = globalThis.AudioContext;

/** Contexts as they are opened; `rateHz` is the rate of the output device, if it differs from the machine's own. */
function watchContexts(rateHz?: number, resamples = true): AudioContext[] {
  const opened: AudioContext[] = [];
  globalThis.AudioContext = class extends Native {
    constructor(options: AudioContextOptions = {}) {
      const deviceHz = resamples ? (options.sampleRate ?? rateHz) : rateHz;
      super(deviceHz === undefined ? options : { ...options, sampleRate: deviceHz });
      opened.push(this);
    }
  };
  return opened;
}

describe('the context that sound needs', () => {
  let bench: ClipleadBench | undefined;
  let session: AudioSession | undefined;

  afterEach(async () => {
    globalThis.AudioContext = Native;
    await bench?.session.stop();
    await session?.stop();
    bench?.remove();
    bench = undefined;
    session = undefined;
    localStorage.clear();
  });

  /** A bench that plays. */
  async function listening(): Promise<ClipleadBench> {
    localStorage.clear();
    const opened = document.createElement('cliplead-bench') as ClipleadBench;
    bench = opened;
    document.body.append(opened);
    opened.store.act({ type: 'listen', isListening: true });
    await sounds(opened);
    return opened;
  }

  const sounds = ({ session }: ClipleadBench) =>
    until('a sound', () => session.state.isRunning && session.readTelemetry().outputPeak > 0.001);

  /** Texts of the messages at the top, but those about dropouts, and of the button that starts and mutes. */
  async function page({ shadowRoot, updateComplete }: ClipleadBench): Promise<string> {
    await updateComplete;
    const output = shadowRoot!.querySelector<LitElement>('output-panel')!;
    await output.updateComplete;
    const notices = shadowRoot!.querySelector<LitElement>('notice-bar')!;
    await notices.updateComplete;
    const alerts = [...notices.shadowRoot!.querySelectorAll('[role=alert] p')]
      .map((each) => each.textContent!.trim())
      .filter((text) => !isOfDropouts(text));
    const button = output.shadowRoot!.querySelector('.listen')!.textContent!.trim();
    const delay = output.shadowRoot!.querySelector('.numbers')!.textContent!.trim();
    return [...alerts, button, delay.startsWith('Delay') ? 'Delay' : delay].join(' | ');
  }

  async function press({ shadowRoot, updateComplete }: ClipleadBench): Promise<void> {
    await updateComplete;
    shadowRoot!.querySelector('output-panel')!.shadowRoot!.querySelector<HTMLElement>('.listen')!.click();
  }

  it('is not said to have no output while circuits are still being prepared', async () => {
    const waiting = new Set<number>();
    const { setTimeout: set, clearTimeout: clear } = globalThis;
    // The timers of five seconds: those of the watch over the start.
    globalThis.setTimeout = ((task: () => void, ms?: number) => {
      const id = set(task, ms) as unknown as number;
      if (ms === 5000) waiting.add(id);
      return id;
    }) as typeof setTimeout;
    globalThis.clearTimeout = ((id: number) => {
      waiting.delete(id);
      clear(id);
    }) as typeof clearTimeout;
    try {
      const started = new AudioSession();
      session = started;
      let prepared = () => {};
      let isAsked = false;
      started.circuitsReady = () => {
        isAsked = true;
        return new Promise((resolve) => {
          prepared = resolve;
        });
      };
      void started.start();
      await until('the wait for circuits', () => isAsked);
      assert.equal(waiting.size, 0, 'nobody waits for the output yet');
      prepared();
      await until('the wait for the output, or sound', () => waiting.size === 1 || started.state.isRunning);
      assert.isUndefined(started.state.problems.sound);
    } finally {
      Object.assign(globalThis, { setTimeout: set, clearTimeout: clear });
    }
  });

  it('is recognised as suspended; the page reports it, and Listen resumes it', async () => {
    const contexts = watchContexts();
    const opened = await listening();
    await contexts[0]!.suspend();
    await until('halted', () => !opened.store.state.isListening);
    assert.equal(
      await page(opened),
      'The browser has paused the sound. Press Listen to go on. | Listen | Sound is off.',
    );
    assert.deepEqual(
      [opened.session.readTelemetry().load, opened.session.readTelemetry().outputPeak],
      [0, 0],
    );
    await press(opened);
    await sounds(opened);
    assert.equal(await page(opened), 'Mute | Delay');
    assert.equal(contexts.length, 1);
  });

  it('is recognised as closed; the page reports it, and Listen opens a new one with the same sound', async () => {
    const contexts = watchContexts();
    const opened = await listening();
    const { source } = opened.store.state;
    await contexts[0]!.close();
    await until('halted', () => !opened.store.state.isListening);
    assert.equal(
      await page(opened),
      'The sound output was closed. Press Listen to open it again. | Listen | Sound is off.',
    );
    await press(opened);
    await sounds(opened);
    assert.equal(await page(opened), 'Mute | Delay');
    assert.equal(contexts.length, 2);
    assert.deepEqual(opened.session.state.source, source);
  });

  it('opens again the live input that played when it was closed', async () => {
    const contexts = watchContexts();
    const opened = await listening();
    const source = { kind: 'live', deviceId: '', channel: 0 } as const;
    opened.store.act({ type: 'source', source });
    await opened.session.useSource(source);
    await contexts[0]!.close();
    await until('halted', () => !opened.store.state.isListening);
    assert.deepEqual([opened.session.state.source.kind, opened.store.state.source.kind], ['none', 'live']);
    await press(opened);
    await until('live', () => opened.session.state.source.kind === 'live');
    assert.equal(opened.store.state.source.kind, 'live');
    assert.isDefined(opened.session.state.input);
  });

  it('is recognised as interrupted, and Listen continues it once the system allows it', async () => {
    const contexts = watchContexts();
    const opened = await listening();
    const [context] = contexts;
    // As iOS does for a call: the state, and meanwhile a refused resume.
    let isCalling = true;
    const { resume } = context!;
    Object.defineProperty(context, 'state', {
      configurable: true,
      get: () => (isCalling ? 'interrupted' : 'running'),
    });
    context!.resume = () =>
      isCalling ? Promise.reject(new DOMException('in a call', 'InvalidStateError')) : resume.call(context);
    context!.dispatchEvent(new Event('statechange'));
    const said =
      'The system has interrupted the sound, for a call or another program. Press Listen to go on. | Listen | Sound is off.';
    assert.equal(await page(opened), said);
    await press(opened);
    await until('halted again', () => !opened.store.state.isListening);
    assert.equal(await page(opened), said);
    isCalling = false;
    context!.dispatchEvent(new Event('statechange'));
    await press(opened);
    await sounds(opened);
    assert.equal(await page(opened), 'Mute | Delay');
  });

  it('is opened again after the audio thread has failed', async () => {
    const contexts = watchContexts();
    session = new AudioSession();
    let nodes = 0;
    const { AudioWorkletNode: NativeNode } = globalThis;
    globalThis.AudioWorkletNode = class extends NativeNode {
      constructor(context: BaseAudioContext, name: string, options?: AudioWorkletNodeOptions) {
        // The first processor gets a sample rate at which it cannot play.
        const processorOptions = {
          ...options?.processorOptions,
          ...(nodes++ === 0 ? { sampleRateHz: 100 } : {}),
        };
        super(context, name, { ...options, processorOptions });
      }
    };
    try {
      await session.start();
      await until('said', () => session?.state.problems.sound !== undefined);
      assert.equal(
        session.state.problems.sound,
        'The audio thread has stopped. Press Listen to start it again.',
      );
      assert.isFalse(session.state.isRunning);
      session.setMuted(false);
      session.setSettings({ outputDb: -20 });
      assert.isDefined(session.state.problems.sound);
      await session.start();
      await until('running', () => session?.state.isRunning === true);
      assert.isUndefined(session.state.problems.sound);
      assert.equal(contexts.length, 2);
    } finally {
      globalThis.AudioWorkletNode = NativeNode;
    }
  });

  for (const rateHz of [8000, 11_025, 16_000, 22_050, 24_000]) {
    it(`runs at 48 kHz if the device runs at ${rateHz} Hz, and says so until there is another device`, async () => {
      const contexts = watchContexts(rateHz);
      session = new AudioSession();
      await session.start();
      assert.deepEqual(
        contexts.map(({ sampleRate }) => sampleRate),
        [rateHz, 48_000],
      );
      assert.equal(contexts[0]!.state, 'closed');
      assert.include(
        session.state.problems.outputRate,
        `The output device runs at ${Number((rateHz / 1000).toFixed(1))} kHz, as a headset does in call mode`,
      );
      await session.useSource({ kind: 'none' });
      assert.isDefined(session.state.problems.outputRate);
      globalThis.AudioContext = Native;
      navigator.mediaDevices.dispatchEvent(new Event('devicechange'));
      await until('mended', () => session?.state.problems.outputRate === undefined);
    });
  }

  it('has its low rate stated on the page', async () => {
    watchContexts(16_000);
    const said = await page(await listening());
    assert.match(
      said,
      /^The output device runs at 16 kHz, as a headset does in call mode: .* \| Mute \| Delay$/,
    );
  });

  it('is refused at a too low rate if the browser does not resample, with the rate and what to change', async () => {
    watchContexts(16_000, false);
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    await press(bench);
    await until('halted', () => !bench?.store.state.isListening);
    assert.equal(
      await page(bench),
      'The output device runs at 16 kHz, as a headset does in call mode. The bench needs 25 kHz or more: choose another output device in the system, then press Listen. | Listen | Sound is off.',
    );
    globalThis.AudioContext = Native;
    await press(bench);
    await sounds(bench);
    assert.equal(await page(bench), 'Mute | Delay');
  });

  it('plays at 32 kHz without a message', async () => {
    const contexts = watchContexts(32_000);
    const opened = await listening();
    assert.equal(contexts.length, 1);
    assert.equal(opened.session.state.sampleRateHz, 32_000);
    assert.equal(await page(opened), 'Mute | Delay');
  });

  it('keeps the output while one source replaces another', async () => {
    session = new AudioSession();
    await session.useSource({ kind: 'string' });
    const told: string[] = [];
    const { postMessage } = MessagePort.prototype;
    MessagePort.prototype.postMessage = function (this: MessagePort, ...args: [never]) {
      const { type, isOpen, settings } = args[0] as { type?: string; isOpen?: boolean; settings?: object };
      if (type === 'gateInput') told.push(isOpen ? 'open' : 'shut');
      if (settings) told.push('volts');
      return postMessage.apply(this, args);
    };
    try {
      session.setInterfaceVolts(3);
      await session.useSource({ kind: 'none' });
      await session.useSource({ kind: 'string' });
    } finally {
      MessagePort.prototype.postMessage = postMessage;
    }
    assert.deepEqual(told, ['shut', 'open', 'volts', 'open']);
  });
});
