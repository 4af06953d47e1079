import { assert } from 'chai';
import { encodeWav } from '../../engine/audio/wav.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { SpeakerPanel } from '../../ui/components/ear/speaker-panel.ts';
import { benchDrawn, closeBench, openedBench, playString } from './opened-bench.ts';
import { played } from './played.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

let bench: ClipleadBench;

const drawn = () => benchDrawn(bench);

function panel<T extends HTMLElement>(name: string, place = 'conditions-panel'): T {
  const found = bench.shadowRoot?.querySelector(place)?.shadowRoot?.querySelector<T>(name);
  if (!found) throw new Error(`${place} has no ${name}`);
  return found;
}

/** Loudness of A over two seconds of the string, dB of 1 V. */
async function loudnessOfA(): Promise<number> {
  await bench.store.settled();
  return (await played(bench.session, 2)).loudnessA;
}

describe('the source before the pedal and the speaker behind it', () => {
  beforeEach(async () => {
    bench = await openedBench();
    bench.store.act({ type: 'view', view: 'ear' });
    await playString(bench);
    await played(bench.session, 1);
  });
  afterEach(() => closeBench(bench));

  it('accepts an impulse response as the speaker, about as loud as the built-in one', async () => {
    const before = await loudnessOfA();
    const samples = new Float64Array(480);
    samples[0] = 0.01;
    const wav = encodeWav({ channels: [samples], sampleRateHz: 96_000 });
    await panel<SpeakerPanel>('speaker-panel', 'ear-room').load(
      new File([new Uint8Array(wav)], 'cabinet.wav'),
    );
    await drawn();
    assert.equal(bench.store.state.speaker?.name, 'cabinet');
    await played(bench.session, 0.3);
    // Set equally loud from 100 Hz to 5 kHz. An overdrive has more highs than a speaker passes: 4 to 7 dB, as the two
    // seconds of the string happen to lie. As it stands in the file, the response would be 40 dB quieter.
    assert.closeTo(await loudnessOfA(), before, 10);
    assert.notEqual(bench.session.readTelemetry().loudnessA, before);
  });

  it('says why a file is not an impulse response, and keeps the old speaker', async () => {
    await panel<SpeakerPanel>('speaker-panel', 'ear-room').load(new File(['nonsense'], 'notes.wav'));
    await drawn();
    // The speaker of the test before may have been kept.
    assert.notEqual(bench.store.state.speaker?.name, 'notes');
    const reason =
      panel('speaker-panel', 'ear-room').shadowRoot?.querySelector('[role="alert"]')?.textContent ?? '';
    assert.match(reason, /"notes\.wav" was not loaded/);
  });

  it('puts a guitar before the pedal: with its volume turned down it is quieter', async () => {
    panel('guitar-panel').shadowRoot?.querySelector<HTMLElement>('input[type="checkbox"]')?.click();
    await drawn();
    assert.isTrue(bench.store.state.guitar.isOn);
    bench.store.act({ type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0 });
    await played(bench.session, 0.5);
    const full = await loudnessOfA();
    const { guitar } = bench.store.state;
    bench.store.act({
      type: 'guitar',
      guitar: { ...guitar, instrument: { ...guitar.instrument, volume: 0.3 } },
    });
    // A busy machine takes a while to prepare the circuit.
    await until('a quieter pedal', async () => (await loudnessOfA()) < full - 6);
  });

  it('plugs the pedal into a line input, and refuses a cable of 300 m', async () => {
    const loads = panel('output-load-panel').shadowRoot!;
    loads.querySelector<HTMLElement>('input[type="checkbox"]')?.click();
    await drawn();
    assert.isFalse(loads.querySelector('fieldset')!.disabled);
    const input = loads.querySelector('select')!;
    input.value = 'line';
    input.dispatchEvent(new Event('change'));
    const metres = loads.querySelector<HTMLInputElement>('input[type="number"]')!;
    metres.value = '300';
    metres.dispatchEvent(new Event('change'));
    await drawn();
    assert.deepEqual(bench.store.state.after, { isOn: true, load: { input: 'line', cableMetres: 6 } });
    assert.equal(metres.value, '6');
    assert.isUndefined(bench.store.state.refusal);
  });
});
