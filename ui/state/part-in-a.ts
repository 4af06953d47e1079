import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import type { BenchState } from './bench-state.ts';
import { partBeside } from './followed-part.ts';

/**
 * The chosen part as build A has it: candidates play in place of a part of A, but the part is chosen in the build that is heard.
 * In another circuit the same designator is another part, so it is the one with the same job; undefined if A has none.
 */
export function selectedInA(
  state: Pick<BenchState, 'builds' | 'heard' | 'selected'> & Partial<Pick<BenchState, 'cameFrom'>>,
): string | undefined {
  const { a, b } = state.builds;
  const isOwn = state.heard === 'a' || isSameCircuit(a.circuit, b.circuit);
  const ref = isOwn ? state.selected : partBeside(state)?.ref;
  return ref !== undefined && ref in a.parts ? ref : undefined;
}
