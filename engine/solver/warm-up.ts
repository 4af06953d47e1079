import { CHUNK_SAMPLES } from './circuit-memory.ts';
import { CircuitSimulator } from './circuit-simulator.ts';
import type { CompiledCircuit } from './compiled-circuit.ts';
import { PairedSimulators } from './paired-simulators.ts';

/**
 * Plays a moment of silence, alone and as a pair. WebAssembly is compiled at its first call, for longer than a block
 * of the audio thread lasts; every thread that gets the module then has what was compiled here. Off the audio thread.
 */
export function warmUp(circuit: CompiledCircuit): void {
  const [a, b] = [new CircuitSimulator(circuit), new CircuitSimulator(circuit)];
  const silence = new Float64Array(CHUNK_SAMPLES);
  const output = new Float64Array(CHUNK_SAMPLES);
  a.process(silence, output, CHUNK_SAMPLES);
  const pair = PairedSimulators.of(a, b);
  pair?.process(silence, output, undefined, silence, output, undefined, CHUNK_SAMPLES);
}
