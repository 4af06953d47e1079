import { Arena } from './arena.ts';
import { BlockMemory } from './block-memory.ts';
import type { CompiledCircuit, RestState } from './compiled-circuit.ts';
import { derivedPlaces } from './device-functions.ts';
import { MOST_SUBSTEPS } from './substeps.ts';

/** Longest run of samples that is solved at once. */
export const CHUNK_SAMPLES = 512;

export const PAGE_BYTES = 65536;

/** All numbers of a circuit that change while it runs, in the same layout for circuits of the same structure. */
export class CircuitMemory {
  readonly input: Float64Array;
  readonly output: Float64Array;
  /** Voltage of the probed node, V. */
  readonly probe: Float64Array;
  /** Index of the block with the probed node, in its one entry; −1 for none. */
  readonly probeBlock: Float64Array;
  readonly parameters: Float64Array;
  /** Voltage by node index, then the unit: see CompiledCircuit. */
  readonly known: Float64Array;
  /** Current out of each node in the present sample, A. */
  readonly nodeCurrents: Float64Array;
  /** Two for each rail: the current out of it one and two samples ago, A. */
  readonly railCurrents: Float64Array;
  /** Of each op-amp whose load is predicted: the part i − G·v of it one sample ago, times SOURCED_OHMS; no number behind a reset. */
  readonly loadPast: Float64Array;
  /** 1/C of each rail, 1/F. */
  readonly railElastances: Float64Array;
  /** Index of the block with a sample that was not finite, in its one entry. */
  readonly faultyBlock: Float64Array;
  readonly blocks: readonly BlockMemory[];
  /** The values of a reset; emitted code does not use them. */
  readonly rest: RestState;
  /** The whole memory as one array, beginning with input, output and probe; and the index after these. */
  readonly all: Float64Array;
  readonly inputStart = 0;
  readonly outputStart = CHUNK_SAMPLES;
  readonly probeStart = 2 * CHUNK_SAMPLES;
  readonly numbersStart = 3 * CHUNK_SAMPLES;

  /** @param buffer Of at least `memoryPages(circuit)` pages. */
  constructor(circuit: CompiledCircuit, buffer: ArrayBuffer) {
    const arena = new Arena(buffer);
    const knownCount = circuit.unitIndex + 1;
    this.input = arena.allocate(CHUNK_SAMPLES);
    this.output = arena.allocate(CHUNK_SAMPLES);
    this.probe = arena.allocate(CHUNK_SAMPLES);
    this.probeBlock = arena.allocate(1);
    this.parameters = arena.allocate(circuit.parameters.length);
    this.known = arena.allocate(knownCount);
    this.nodeCurrents = arena.allocate(knownCount);
    this.railCurrents = arena.allocate(2 * circuit.rails.length);
    this.loadPast = arena.allocate(circuit.opamps.length);
    this.railElastances = arena.allocate(circuit.rails.length);
    this.faultyBlock = arena.allocate(1);
    this.blocks = circuit.blocks.map((block) => new BlockMemory(block, arena));
    this.rest = {
      // Longer than the circuit's: the nodes of predicted loads follow from the others at a reset.
      restVolts: new Float64Array(knownCount),
      restInductorA: Float64Array.from(circuit.restInductorA),
    };
    this.rest.restVolts.set(circuit.restVolts);
    this.all = new Float64Array(buffer, 0, arena.usedBytes / Float64Array.BYTES_PER_ELEMENT);
  }
}

/** Pages of 64 KiB that the numbers of a circuit need. */
export function memoryPages(circuit: CompiledCircuit): number {
  const widths = circuit.blocks.map((block) => {
    const { unknowns, states, inputs, devices, outputs, meteredNodes, nodal } = block;
    const ports = devices.reduce((sum, device) => sum + device.ports.length, 0);
    const width = states.length + inputs.length + ports;
    return (
      width * (ports + states.length + outputs.length + meteredNodes.length + 16) +
      unknowns.length +
      8 +
      (nodal ? unknowns.length + states.length + nodal.sides.length + 2 * nodal.entries.length : 0) +
      derivedPlaces(block).count +
      (MOST_SUBSTEPS + 1) * (outputs.length + devices.length)
    );
  });
  const numbers = 3 * CHUNK_SAMPLES + 1 + circuit.parameters.length + 5 * (circuit.unitIndex + 2);
  const bytes = 8 * (numbers + widths.reduce((sum, width) => sum + width, 0));
  return Math.ceil(bytes / PAGE_BYTES);
}

/** A separate memory for the emitter, which needs only the addresses. */
export function plainMemory(circuit: CompiledCircuit): CircuitMemory {
  return new CircuitMemory(circuit, new ArrayBuffer(memoryPages(circuit) * PAGE_BYTES));
}
