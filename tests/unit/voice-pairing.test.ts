import { expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import { STARTING_SETTINGS, type ToProcessor } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const FACTOR = 4;
const FRAMES = 128;
const BLOCKS = 120;

/** The sound of the bench while circuits are swapped, values changed and nets probed, in A and B alternately. */
function session(paired: boolean): Float32Array {
  const circuit = (preset: string) =>
    compileCircuit(networkOf(presetBuild(preset), NOMINAL_TEMPERATURE_K), {
      sampleRateHz: FACTOR * RATE_HZ,
      paired,
    });
  const [plain, led, asymmetric] = ['soft-plain', 'soft-led', 'soft-asymmetric'].map(circuit);
  const engine = new BenchEngine({ sampleRateHz: RATE_HZ, factor: FACTOR, quality: 'low-latency' });
  const settings = { ...STARTING_SETTINGS, standIn: false, outputDb: 0 };
  const messages: Record<number, ToProcessor[]> = {
    0: [
      { type: 'settings', settings },
      { type: 'circuit', slot: 'a', circuit: plain! },
      { type: 'circuit', slot: 'b', circuit: led! },
      { type: 'mute', muted: false },
    ],
    // Another structure, faded in while B continues; then a pair again, which the audio thread solves together.
    20: [{ type: 'circuit', slot: 'a', circuit: asymmetric! }],
    30: [{ type: 'hear', slot: 'b' }],
    50: [{ type: 'circuit', slot: 'b', circuit: asymmetric! }],
    // Both at once: two pairs in parallel.
    70: [
      { type: 'circuit', slot: 'a', circuit: led! },
      { type: 'circuit', slot: 'b', circuit: plain! },
    ],
    80: [
      { type: 'values', slot: 'a', numbers: { ...led!, parameters: led!.parameters.map((x) => x * 1.01) } },
    ],
    90: [{ type: 'probe', nets: { a: 'clipped', b: null } }],
    100: [{ type: 'hear', slot: 'a' }],
  };
  const output = new Float32Array(BLOCKS * FRAMES);
  const input = Float32Array.from(output, (_, n) => 0.3 * Math.sin((2 * Math.PI * 330 * n) / RATE_HZ));
  for (let block = 0; block < BLOCKS; block++) {
    for (const message of messages[block] ?? []) engine.receive(message);
    const [start, end] = [block * FRAMES, (block + 1) * FRAMES];
    engine.process(input.subarray(start, end), output.subarray(start, end));
  }
  return output;
}

it('the bench sounds the same to the bit whether its builds are solved together or one after the other', () => {
  const heard = session(true);
  expect(heard).toEqual(session(false));
  expect(Math.max(...heard.map(Math.abs))).toBeGreaterThan(0.1);
});
