import { existsSync, writeFileSync } from 'node:fs';
import { SOLVED_CASES, SOLVED_FILE, type SolvedVector, solvedVectors } from './solved-cases.ts';
import { netlistDigest, referenceAnswer, solverErrorDb } from './solver-trial.ts';

/**
 * Solves every case whose netlist has changed and writes the results that the tests compare with; prints the engine's errors.
 * Remove the file to solve all anew.
 */
export function makeSolvedCases(): void {
  const known = existsSync(SOLVED_FILE) ? solvedVectors() : [];
  const vectors = SOLVED_CASES.map(({ name, network, input }): SolvedVector => {
    const circuit = network();
    const digest = netlistDigest(circuit);
    const before = known.find((vector) => vector.name === name && vector.netlistSha256 === digest);
    if (before) return before;
    const answer = referenceAnswer(circuit, input);
    const errors = [8, 16, 32].map((factor) =>
      solverErrorDb(circuit, input, factor, answer).errorDb.toFixed(1),
    );
    process.stdout.write(
      `${name}: own error ${answer.ownErrorDb.toFixed(1)} dB, engine ${errors.join(', ')} dB\n`,
    );
    return {
      name,
      netlistSha256: digest,
      ownErrorDb: Number(answer.ownErrorDb.toFixed(1)),
      outputBase64: Buffer.from(answer.outputV.buffer).toString('base64'),
    };
  });
  writeFileSync(SOLVED_FILE, `${JSON.stringify(vectors, undefined, 2)}\n`);
}
