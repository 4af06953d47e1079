import { assert } from 'chai';
import { encodeWav } from '../../engine/audio/wav.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { SpeakerPanel } from '../../ui/components/ear/speaker-panel.ts';
import { stillPicture } from '../../ui/ear/still-picture.ts';
import { HOSTILE_TEXTS } from '../reliability/hostile-texts.ts';
import { refusalFault } from '../reliability/refusal.ts';
import '../../ui/main.ts';
import { benchDrawn, closeBench, openedBench } from './opened-bench.ts';

let bench: ClipleadBench;

const drawn = () => benchDrawn(bench);

/** A file that states this length; reading more than its first bytes would be an error. */
function longFile(name: string, start: Uint8Array<ArrayBuffer>, size: number): File {
  const file = new File([start], name);
  Object.defineProperty(file, 'size', { value: size });
  file.arrayBuffer = () => Promise.reject(new Error('was read'));
  file.text = () => Promise.reject(new Error('was read'));
  return file;
}

function wavFile(name: string, sampleRateHz: number, samples: Float64Array): File {
  return new File([new Uint8Array(encodeWav({ sampleRateHz, channels: [samples] }))], name);
}

const tone = (frames: number) => Float64Array.from({ length: frames }, (_, n) => 0.1 * Math.sin(n / 20));

describe('files that the bench cannot use', () => {
  beforeEach(async () => {
    bench = await openedBench();
  });
  afterEach(() => closeBench(bench));

  async function problemOf(file: File): Promise<string> {
    await bench.session.useSource({ kind: 'file', file });
    const { source: problem = '' } = bench.session.state.problems;
    if (problem !== '') assert.isUndefined(refusalFault(problem));
    return problem;
  }

  it('are refused because of their length, without being read', async () => {
    const riff = new Uint8Array(encodeWav({ sampleRateHz: 48_000, channels: [tone(10)] }));
    assert.match(
      await problemOf(longFile('long.wav', riff, 3e9)),
      /long\.wav" has 3000 MB; 537 MB is the most/,
    );
    const other = new Uint8Array(100);
    assert.match(await problemOf(longFile('long.mp3', other, 1e9)), /has 1000 MB; 25 MB is the most/);
    bench.store.act({ type: 'view', view: 'ear' });
    await drawn();
    const room = bench.shadowRoot?.querySelector('ear-room')?.shadowRoot;
    const speaker = room?.querySelector<SpeakerPanel>('speaker-panel');
    await speaker?.load(longFile('hall.wav', riff, 1e9));
    await speaker?.updateComplete;
    assert.match(speaker?.shadowRoot?.querySelector('[role="alert"]')?.textContent ?? '', /far too long/);
  });

  it('are refused for a sample rate at which a second would become hours', async () => {
    assert.match(
      await problemOf(wavFile('slow.wav', 1, tone(1000))),
      /sample rate of 1 Hz; recordings have 8000/,
    );
    assert.equal(bench.session.state.source.kind, 'none');
  });

  it('are named in a line that fits, whatever their names are', async () => {
    for (const text of HOSTILE_TEXTS) {
      const problem = await problemOf(new File([new Uint8Array(50)], `${text}.wav`));
      assert.isAbove(problem.length, 10);
    }
  });

  it('play if only some samples are not numbers, and these are counted', async () => {
    const samples = tone(20_000);
    samples.fill(Number.NaN, 100, 653);
    assert.match(await problemOf(wavFile('half.wav', 48_000, samples)), /553 samples are not numbers/);
    assert.equal(bench.session.state.source.kind, 'file');
    const sound = await bench.session.readSource(bench.session.state.source);
    assert.isTrue(sound?.samples.every(Number.isFinite));
  });

  it('leave the page time to draw while a long one is read', async () => {
    let frames = 0;
    const count = () => {
      frames++;
      handle = requestAnimationFrame(count);
    };
    let handle = requestAnimationFrame(count);
    // at a sample rate that has to be converted: half a minute takes some tenths of a second
    assert.equal(await problemOf(wavFile('long.wav', 44_099, tone(30 * 44_099))), '');
    cancelAnimationFrame(handle);
    assert.isAbove(frames, 5);
  });
});

describe('a picture of an excerpt', () => {
  beforeEach(async () => {
    bench = await openedBench();
  });
  afterEach(() => bench.remove());

  it('is drawn whatever the names of a build and its parts are', async () => {
    for (const title of HOSTILE_TEXTS.filter((text) => text.length < 300)) {
      bench.store.act({ type: 'rename', slot: 'a', title });
      bench.store.act({ type: 'alias', ref: 'D1', alias: title.slice(0, 8) });
      await drawn();
      assert.isAbove((await stillPicture(bench.store.state, true)).size, 10_000, JSON.stringify(title));
    }
  });
});
