import { LONE, unitAt } from '../../engine/builds/chain.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import type { Subject } from './plot-analysis.ts';

/** Whether results of both are of the same nets: the probed one, and those of one circuit at one place of its chain. */
export function hasSameNets(one: Subject, other: Subject): boolean {
  const unit = ({ chain = LONE }: Subject) => unitAt(chain);
  return (
    one.probe === other.probe &&
    unit(one) === unit(other) &&
    isSameCircuit(one.build.circuit, other.build.circuit)
  );
}
