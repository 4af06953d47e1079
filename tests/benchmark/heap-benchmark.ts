import { PerformanceObserver } from 'node:perf_hooks';
import { setTimeout } from 'node:timers/promises';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import { TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';
import { BLOCK_FRAMES, SAMPLE_RATE_HZ } from './solver-benchmark.ts';

/** The memory that the audio thread's code left on the heap. */
export interface HeapUse {
  readonly seconds: number;
  /** Garbage collections while it ran, and growth of the heap, bytes. */
  readonly collections: number;
  readonly grownBytes: number;
}

const FACTOR = 8;
const WARM_UP_BLOCKS = 2000;
const TELEMETRY_BLOCKS = 12;

/** Runs the whole audio thread, both builds and telemetry, over this many seconds of a recording. */
export async function measureHeap(seconds: number, recordingV: Float64Array): Promise<HeapUse> {
  const engine = new BenchEngine({ sampleRateHz: SAMPLE_RATE_HZ, factor: FACTOR, quality: 'low-latency' });
  const options = { sampleRateHz: SAMPLE_RATE_HZ * FACTOR };
  for (const [slot, preset] of [
    ['a', 'soft-plain'],
    ['b', 'clean-plain'],
  ] as const) {
    engine.receive({
      type: 'circuit',
      slot,
      circuit: compileCircuit(networkOf(presetBuild(preset), NOMINAL_TEMPERATURE_K), options),
    });
  }
  engine.receive({ type: 'mute', muted: false });
  const blocks = inBlocks(recordingV);
  const output = new Float32Array(BLOCK_FRAMES);
  const telemetry = new Float32Array(TELEMETRY_LENGTH);
  const run = (count: number) => {
    for (let block = 0; block < count; block++) {
      engine.process(blocks[block % blocks.length], output);
      if (block % TELEMETRY_BLOCKS === 0) engine.readTelemetry(telemetry, TELEMETRY_BLOCKS * BLOCK_FRAMES);
    }
  };
  run(WARM_UP_BLOCKS);
  let collections = 0;
  const observer = new PerformanceObserver((list) => {
    collections += list.getEntries().length;
  });
  observer.observe({ entryTypes: ['gc'] });
  await setTimeout(50);
  collections = 0;
  const before = process.memoryUsage().heapUsed;
  run(Math.round((seconds * SAMPLE_RATE_HZ) / BLOCK_FRAMES));
  const grownBytes = process.memoryUsage().heapUsed - before;
  await setTimeout(50);
  observer.disconnect();
  return { seconds, collections, grownBytes };
}

function inBlocks(recordingV: Float64Array): Float32Array[] {
  return Array.from({ length: Math.floor(recordingV.length / BLOCK_FRAMES) }, (_, block) =>
    Float32Array.from(recordingV.subarray(block * BLOCK_FRAMES, (block + 1) * BLOCK_FRAMES)),
  );
}
