import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';

const FRAMES = 120;

/** Counts readings of attributes of AudioContext, if the browser has them. Returns a function that ends the count. */
function countReads(names: readonly string[], counts: Map<string, number>): () => void {
  const { prototype } = AudioContext;
  const restore = names.flatMap((name) => {
    const native = Object.getOwnPropertyDescriptor(prototype, name);
    if (!native) return [];
    const count = () => counts.set(name, (counts.get(name) ?? 0) + 1);
    Object.defineProperty(prototype, name, {
      configurable: true,
      get(this: AudioContext) {
        count();
        return native.get ? native.get.call(this) : native.value;
      },
    });
    return [() => Object.defineProperty(prototype, name, native)];
  });
  return () => {
    for (const each of restore) each();
  };
}

const frames = async (count: number) => {
  for (let n = 0; n < count; n++) await new Promise(requestAnimationFrame);
};

describe('a bench that plays', () => {
  it('never reads in a frame an attribute of the context that may wait for the audio thread', async () => {
    localStorage.clear();
    const counts = new Map<string, number>();
    const restore = countReads(
      ['outputLatency', 'playbackStats', 'getOutputTimestamp', 'baseLatency'],
      counts,
    );
    const bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    try {
      bench.store.act({ type: 'listen', isListening: true });
      while (!bench.session.state.isRunning) await frames(1);
      // Readings during the start do not count.
      await frames(2);
      counts.clear();
      const startMs = performance.now();
      await frames(FRAMES);
      const seconds = (performance.now() - startMs) / 1000;
      // Twice a second, once for the interval that has begun, and once for a rate that changes meanwhile.
      for (const [name, count] of counts) assert.isAtMost(count, 2 * seconds + 2, name);
    } finally {
      restore();
      bench.store.act({ type: 'listen', isListening: false });
      await bench.session.stop();
      bench.remove();
    }
  });
});
