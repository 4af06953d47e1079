import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { CHUNK_SAMPLES } from '../../engine/solver/circuit-memory.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import type { CompiledCircuit } from '../../engine/solver/compiled-circuit.ts';
import { emitCircuit } from '../../engine/solver/emit/emit-circuit.ts';
import { instantiateLoop } from '../../engine/solver/emit/emitted-loop.ts';
import { translateToC } from './c-translation.ts';

/** Tolerance for rounding, and for the fused multiply-adds that C may use, over seconds of feedback. */
const SAME_WITHIN_V = 1e-9;
const ROUNDS = 9;
const GCC_FLAGS = ['-O3', '-march=native'];

/** True where C code can be compiled here. */
export function hasCompiler(): boolean {
  try {
    execFileSync('gcc', ['--version'], { stdio: 'pipe' });
    return true;
  } catch {
    return false;
  }
}

/**
 * Time of a circuit's emitted WebAssembly divided by that of the same operations compiled from C by gcc -O3
 * -march=native, with the same input and memory. The two alternate for several runs, and of every chunk of samples the shortest
 * time of each counts: other programs can only add time, and on a busy machine no whole run is without them.
 *
 * @param inputV Input at the circuit's rate, V.
 * @throws Error where their outputs differ by more than 1 nV: then the times cannot be compared.
 */
export function ratioToC(circuit: CompiledCircuit, inputV: Float64Array): number {
  const folder = mkdtempSync(join(tmpdir(), 'cliplead-benchmark-'));
  try {
    const runC = prepareC(circuit, inputV, folder);
    const runWasm = prepareWasm(circuit, inputV);
    const least = { c: noTimes(inputV.length), wasm: noTimes(inputV.length) };
    for (let round = 0; round < ROUNDS; round++) {
      const c = runC();
      const wasm = runWasm();
      checkSame(c.outputV, wasm.outputV);
      keepLeast(least.c, c.nanoseconds);
      keepLeast(least.wasm, wasm.nanoseconds);
    }
    return total(least.wasm) / total(least.c);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

interface TimedRun {
  readonly outputV: Float64Array;
  /** Of each chunk. */
  readonly nanoseconds: Float64Array;
}

const noTimes = (samples: number): Float64Array =>
  new Float64Array(Math.ceil(samples / CHUNK_SAMPLES)).fill(Number.POSITIVE_INFINITY);

function keepLeast(least: Float64Array, times: Float64Array): void {
  for (const [chunk, time] of times.entries()) least[chunk] = Math.min(least[chunk]!, time);
}

const total = (times: Float64Array): number => times.reduce((sum, time) => sum + time, 0);

function prepareWasm(circuit: CompiledCircuit, inputV: Float64Array): () => TimedRun {
  const { memory, run } = instantiateLoop(circuit, circuit.module!);
  const image = startingImage(circuit);
  const whole = new Uint8Array(memory.input.buffer);
  return () => {
    whole.set(image);
    const outputV = new Float64Array(inputV.length);
    const nanoseconds = noTimes(inputV.length);
    for (let from = 0; from < inputV.length; from += CHUNK_SAMPLES) {
      const chunk = inputV.subarray(from, from + CHUNK_SAMPLES);
      const start = performance.now();
      memory.input.set(chunk);
      run(0, chunk.length);
      outputV.set(memory.output.subarray(0, chunk.length), from);
      nanoseconds[from / CHUNK_SAMPLES] = 1e6 * (performance.now() - start);
    }
    return { outputV, nanoseconds };
  };
}

/** The circuit's memory at rest, with all coefficients calculated. */
function startingImage(circuit: CompiledCircuit): Uint8Array {
  const { memory } = new CircuitSimulator(circuit);
  return new Uint8Array(memory.input.buffer.slice(0));
}

function prepareC(circuit: CompiledCircuit, inputV: Float64Array, folder: string): () => TimedRun {
  const file = (name: string) => join(folder, name);
  const image = startingImage(circuit);
  const { input, output } = new CircuitSimulator(circuit).memory;
  writeFileSync(file('image'), image);
  writeFileSync(file('input'), inputV);
  const code = emitCircuit(circuit, { isPaired: false })?.single;
  if (!code) throw new RangeError('the circuit has no emitted code to set against C');
  writeFileSync(file('loop.c'), translateToC(code));
  writeFileSync(file('main.c'), mainSource(image.length, inputV.length, input.byteOffset, output.byteOffset));
  execFileSync('gcc', [...GCC_FLAGS, '-o', file('loop'), file('loop.c'), file('main.c'), '-lm']);
  return () => {
    execFileSync(file('loop'), ['image', 'input', 'output', 'times'], { cwd: folder });
    const numbers = (name: string) => new Float64Array(Uint8Array.from(readFileSync(file(name))).buffer);
    return { outputV: numbers('output'), nanoseconds: numbers('times') };
  };
}

/**
 * A program that does the same as `prepareWasm`, with the files for image, input, output and the nanoseconds of each chunk
 * as arguments.
 */
const mainSource = (imageBytes: number, samples: number, inputAddress: number, outputAddress: number) => `
#include <stdio.h>
#include <string.h>
#include <time.h>
#define SAMPLES ${samples}
#define CHUNK ${CHUNK_SAMPLES}
_Alignas(64) unsigned char memory[${imageBytes}];
static double input[SAMPLES], output[SAMPLES], times[(SAMPLES + CHUNK - 1) / CHUNK];
int run(int from, int to);
static void transfer(const char *name, const char *mode, void *data, size_t bytes) {
  FILE *file = fopen(name, mode);
  if (mode[0] == 'r') bytes -= fread(data, 1, bytes, file); else fwrite(data, 1, bytes, file);
  fclose(file);
}
int main(int count, char **names) {
  struct timespec start, end;
  if (count != 5) return 1;
  transfer(names[1], "rb", memory, sizeof memory);
  transfer(names[2], "rb", input, sizeof input);
  memset(output, 1, sizeof output);
  for (int from = 0; from < SAMPLES; from += CHUNK) {
    int length = SAMPLES - from < CHUNK ? SAMPLES - from : CHUNK;
    clock_gettime(CLOCK_MONOTONIC, &start);
    memcpy(memory + ${inputAddress}, input + from, length * sizeof(double));
    run(0, length);
    memcpy(output + from, memory + ${outputAddress}, length * sizeof(double));
    clock_gettime(CLOCK_MONOTONIC, &end);
    times[from / CHUNK] = (end.tv_sec - start.tv_sec) * 1e9 + (end.tv_nsec - start.tv_nsec);
  }
  transfer(names[3], "wb", output, sizeof output);
  transfer(names[4], "wb", times, sizeof times);
  return 0;
}
`;

function checkSame(a: Float64Array, b: Float64Array): void {
  for (let sample = 0; sample < a.length; sample++) {
    // A comparison with a value that is not a number is false.
    if (Math.abs(a[sample]! - b[sample]!) <= SAME_WITHIN_V) continue;
    throw new Error(`C and WebAssembly differ at sample ${sample}: ${a[sample]} V, ${b[sample]} V`);
  }
}
