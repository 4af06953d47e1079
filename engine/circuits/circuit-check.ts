import type { Circuit } from './circuit.ts';
import { wireProblems } from './circuit-nets.ts';
import type { CircuitProblem } from './circuit-problem.ts';
import { knobProblems, switchProblems } from './control-check.ts';
import { packageProblems, partProblems } from './part-check.ts';
import { bypassProblems, clippingProblems, figureProblems, roleProblems } from './role-check.ts';
import { sizeProblems, stageProblems } from './stage-check.ts';

/**
 * What is wrong with a circuit whose document has the right shape: names that name nothing, pins that no wire reaches,
 * controls without parts. None where a build of it can be made into a network and drawn; whether that network can be
 * solved depends on the build.
 */
export function circuitProblems(circuit: Circuit): readonly CircuitProblem[] {
  return [
    ...sizeProblems(circuit),
    ...stageProblems(circuit),
    ...partProblems(circuit),
    ...wireProblems(circuit).map(({ code, stage, wire, problem, remedy }) => ({
      code,
      place: stage < 0 ? 'stages' : `stages[${stage}]${wire < 0 ? '.wires' : `.wires[${wire}]`}`,
      problem,
      remedy,
    })),
    ...packageProblems(circuit),
    ...knobProblems(circuit),
    ...switchProblems(circuit),
    ...bypassProblems(circuit),
    ...clippingProblems(circuit),
    ...roleProblems(circuit),
    ...circuit.figures.flatMap((figure, index) => figureProblems(circuit, figure, `figures[${index}]`)),
  ];
}
