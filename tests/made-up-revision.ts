import { type BundledCircuits, bundledCircuits } from '../engine/circuits/bundled-circuits.ts';
import type { Circuit } from '../engine/circuits/circuit.ts';
import { circuitDocument } from '../engine/circuits/circuit-file.ts';
import { BUNDLED, CIRCUITS } from '../engine/circuits/circuits.ts';

/**
 * The bench's circuits with an invented revision of soft-clip after the newest one: R4 has another value, R18 is removed, so that C9
 * drives the output directly, and R30 is in parallel with R14.
 */
export function withNewerSoftClip(): BundledCircuits {
  const before = CIRCUITS.get('soft-clip')!;
  const after = structuredClone(before) as unknown as EditableCircuit;
  after.revision = before.revision + 1;
  const gain = after.stages.find(({ id }) => id === 'gain')!;
  gain.parts['R4']!['value'] = '5k6';
  const output = after.stages.find(({ id }) => id === 'output')!;
  output.parts['R30'] = { ...output.parts['R14'], value: '470k', at: [35, 13] };
  delete output.parts['R18'];
  output.wires = [
    ...output.wires.filter((wire) => !JSON.stringify(wire).includes('R18') && !isGround(wire)),
    ['C9.2', 'R14.1', 'R30.1', 'out'],
    ['R13.2', 'R14.2', 'R30.2', 'ground'],
  ];
  after.figures = after.figures.filter((figure) => !JSON.stringify(figure).includes('R18'));
  const others = [...CIRCUITS.values()].filter(({ id }) => id !== before.id);
  return bundledCircuits(
    [after as unknown as Circuit, ...others],
    [...BUNDLED.older, before].map((circuit) => circuitDocument(circuit)),
  );
}

function isGround(wire: unknown): boolean {
  return JSON.stringify(wire).includes('R14.2');
}

interface EditableCircuit {
  revision: number;
  figures: unknown[];
  readonly stages: {
    readonly id: string;
    readonly parts: Record<string, Record<string, unknown>>;
    wires: unknown[];
  }[];
}
