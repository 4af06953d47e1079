import { describe, expect, it } from 'vitest';
import { SOLVED_CASES, samplesOf, solvedVectors } from './solved-cases.ts';
import { netlistDigest, solverErrorDb } from './solver-trial.ts';

const vectors = new Map(solvedVectors().map((vector) => [vector.name, vector]));

describe.each(SOLVED_CASES)('$name', ({ name, network, input, limitsDb }) => {
  const vector = vectors.get(name)!;
  const circuit = network();

  it('was solved from the netlist that the network prints, to -120 dB', () => {
    expect(netlistDigest(circuit)).toBe(vector.netlistSha256);
    expect(vector.ownErrorDb).toBeLessThan(-120);
  });

  it.each([16, 32] as const)('has at %dx the output of the netlist solver', (factor) => {
    const { errorDb, failures } = solverErrorDb(circuit, input, factor, { outputV: samplesOf(vector) });
    expect(failures).toBe(0);
    expect(errorDb).toBeLessThan(limitsDb[factor]);
  });
});
