import { CircuitMemory } from '../circuit-memory.ts';
import type { CompiledCircuit, WasmModule } from '../compiled-circuit.ts';
import { loadTape, runTape, type Tape } from '../tape.ts';

/** A circuit's sample loop, as WebAssembly or as a tape, with its own memory. */
export interface EmittedLoop {
  readonly memory: CircuitMemory;
  /**
   * Solves samples `from` to `to` of the memory's input. @returns `to`, or the sample in which a number was
   * not finite; `faultyBlock` then names the block.
   */
  readonly run: (from: number, to: number) => number;
}

/** The sample loop of two circuits of one structure; see `pairedCode`. */
export interface PairedLoop {
  /** Both circuits' numbers, alternating. */
  readonly numbers: Float64Array;
  /** Like that of one circuit, but without the index of a faulty block. */
  readonly run: EmittedLoop['run'];
}

interface WasmInterface {
  readonly Module: new (bytes: Uint8Array) => WasmModule;
  readonly Instance: new (
    module: WasmModule,
    imports: object,
  ) => {
    readonly exports: { readonly run: EmittedLoop['run']; readonly memory: { readonly buffer: ArrayBuffer } };
  };
}

function wasm(): WasmInterface {
  return (globalThis as unknown as { WebAssembly: WasmInterface }).WebAssembly;
}

/** Compiles emitted bytes; the module can be posted to another thread. Off the audio thread. */
export function compileModule(bytes: Uint8Array): WasmModule {
  const { Module } = wasm();
  return new Module(bytes);
}

/** A circuit's sample loop with memory of its own. @throws TypeError for a circuit that brings none. */
export function loopOf(circuit: CompiledCircuit): EmittedLoop {
  if (circuit.module) return instantiateLoop(circuit, circuit.module);
  if (circuit.tape) return tapeLoop(circuit, circuit.tape);
  throw new TypeError('the circuit was compiled without its sample loop');
}

/** An instance of a circuit's module with memory of its own. */
export function instantiateLoop(circuit: CompiledCircuit, module: WasmModule): EmittedLoop {
  const { run, memory } = instantiate(module);
  return { run, memory: new CircuitMemory(circuit, memory.buffer) };
}

/** A circuit's tape on memory of its own. */
function tapeLoop(circuit: CompiledCircuit, tape: Tape): EmittedLoop {
  const numbers = new Float64Array(tape.size);
  loadTape(tape, numbers);
  return {
    memory: new CircuitMemory(circuit, numbers.buffer),
    run: (from, to) => runTape(tape, numbers, from, to),
  };
}

/** An instance of a pair's module with memory of its own. */
export function instantiatePair(module: WasmModule): PairedLoop {
  const { run, memory } = instantiate(module);
  return { run, numbers: new Float64Array(memory.buffer) };
}

function instantiate(module: WasmModule) {
  const { Instance } = wasm();
  return new Instance(module, { math: { log: Math.log } }).exports;
}
