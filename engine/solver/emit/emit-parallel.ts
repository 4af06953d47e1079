import type { CompiledBlock } from '../compiled-circuit.ts';
import { solveStraight } from './emit-solve.ts';
import { add, type Code, divide, double, multiply, subtract } from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

/** A diode in parallel with an earlier one; `sign` is −1 if it points the other way. Both by their index among the devices. */
export interface ParallelDiode {
  readonly device: number;
  readonly lead: number;
  readonly sign: 1 | -1;
}

/** Diodes of a block in parallel with another: clipping pairs, piggybacks, class-B output stages. */
export function parallelDiodes(block: CompiledBlock): ParallelDiode[] {
  const leads = new Map<string, number>();
  return block.devices.flatMap(({ seriesOffset, ports }, device): ParallelDiode[] => {
    if (seriesOffset < 0) return [];
    const { plus, minus } = ports[0]!;
    const along = leads.get(`${plus} ${minus}`);
    const against = leads.get(`${minus} ${plus}`);
    if (along !== undefined) return [{ device, lead: along, sign: 1 }];
    if (against !== undefined) return [{ device, lead: against, sign: -1 }];
    leads.set(`${plus} ${minus}`, device);
    return [];
  });
}

/** The linear system of a Newton step, and the ports in it that follow another. */
export interface ParallelSystem {
  readonly matrix: readonly (readonly (Code | undefined)[])[];
  readonly residual: readonly Code[];
  readonly followers: readonly {
    readonly port: number;
    readonly lead: number;
    readonly sign: 1 | -1;
    /** 1 + R_S·D of the follower and of its lead: derivative of the whole diode's voltage by its junction's. */
    readonly stiffness: Code;
    readonly leadStiffness: Code;
  }[];
}

/**
 * Solves (1 − K·D)·Δ = r with parallel diodes. Their rows of K differ only by their series resistances, so the
 * row of a follower minus that of its lead is
 *
 *   (1 + R_S·D)·Δ − sign·(1 + R_S·D)_lead·Δ_lead = r − sign·r_lead
 *
 * and the follower leaves the system at the cost of one column instead of a row of the elimination: of fourteen
 * ports of two class-B amplifiers and a pair of diodes, nine remain.
 */
export function solveParallel(
  f: FunctionBuilder,
  { matrix, residual, followers }: ParallelSystem,
): readonly Code[] {
  const gone = new Set(followers.map(({ port }) => port));
  const kept = residual.map((_, port) => port).filter((port) => !gone.has(port));
  const rows = kept.map((row) => [...matrix[row]!]);
  const rightHandSide = kept.map((row) => residual[row]!);
  const relations = followers.map(({ port, lead, sign, stiffness, leadStiffness }) => {
    const inverse = f.define(divide(double(1), stiffness));
    const share = f.define(multiply(multiply(double(sign), leadStiffness), inverse));
    const excess = subtract(residual[port]!, multiply(double(sign), residual[lead]!));
    const offset = f.define(multiply(excess, inverse));
    rows.forEach((row, index) => {
      const entry = row[port];
      if (entry === undefined) return;
      row[lead] = f.define(add(row[lead] ?? double(0), multiply(entry, share)));
      rightHandSide[index] = f.define(subtract(rightHandSide[index]!, multiply(entry, offset)));
    });
    return { port, lead, share, offset };
  });
  const reduced = rows.map((row) => kept.map((port) => row[port]));
  const solved = solveStraight(f, reduced, rightHandSide);
  const step: Code[] = new Array(residual.length);
  for (const [index, port] of kept.entries()) step[port] = solved[index]!;
  for (const { port, lead, share, offset } of relations)
    step[port] = f.define(add(multiply(share, step[lead]!), offset));
  return step;
}
