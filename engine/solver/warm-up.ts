import { CHUNK_SAMPLES } from './circuit-memory.ts';
import { CircuitSimulator } from './circuit-simulator.ts';
import type { CompiledCircuit } from './compiled-circuit.ts';
import { PairedSimulators } from './paired-simulators.ts';

/**
 * Plays a moment of silence, alone and as a pair. The browser compiles WebAssembly at its first call, which
 * takes longer than a block of the audio thread; every thread that gets the module then has the compiled code.
 * Not for the audio thread.
 */
export function warmUp(circuit: CompiledCircuit): void {
  const [a, b] = [new CircuitSimulator(circuit), new CircuitSimulator(circuit)];
  const silence = new Float64Array(CHUNK_SAMPLES);
  const output = new Float64Array(CHUNK_SAMPLES);
  a.process(silence, output, CHUNK_SAMPLES);
  const pair = PairedSimulators.of(a, b);
  pair?.process(silence, output, undefined, silence, output, undefined, CHUNK_SAMPLES);
}
