import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Network } from '../../engine/network/network.ts';
import { ReferenceFailure } from '../reference/netlist-solver.ts';
import { netlistDigest, type ReferenceAnswer, referenceAnswer } from '../reference/solver-trial.ts';
import type { TrialInput } from '../reference/trial-input.ts';

/**
 * Results of the netlist solver in a folder, by netlist and input: builds that were solved once are measured again with a
 * changed engine in a fraction of the time. Failures are kept too.
 */
export class KeptAnswers {
  readonly #folder: string;

  constructor(folder: string) {
    mkdirSync(folder, { recursive: true });
    this.#folder = folder;
  }

  /** @throws ReferenceFailure, and what `referenceAnswer` throws. */
  of(network: Network, input: TrialInput): ReferenceAnswer {
    const key = createHash('sha256').update(`${netlistDigest(network)} ${JSON.stringify(input)}`);
    const path = join(this.#folder, `${key.digest('hex').slice(0, 32)}.json`);
    return existsSync(path) ? read(path) : this.#solve(path, network, input);
  }

  #solve(path: string, network: Network, input: TrialInput): ReferenceAnswer {
    try {
      const answer = referenceAnswer(network, input);
      const outputBase64 = Buffer.from(answer.outputV.buffer).toString('base64');
      writeFileSync(path, JSON.stringify({ ...answer, outputV: undefined, outputBase64 }));
      return answer;
    } catch (error) {
      if (error instanceof ReferenceFailure) writeFileSync(path, JSON.stringify({ why: error.message }));
      throw error;
    }
  }
}

function read(path: string): ReferenceAnswer {
  const { why, outputBase64, ...rest } = JSON.parse(readFileSync(path, 'utf8'));
  if (why !== undefined) throw new ReferenceFailure(why);
  const bytes = Uint8Array.from(Buffer.from(outputBase64, 'base64'));
  return {
    ...rest,
    outputV: new Float64Array(bytes.buffer),
    ownErrorDb: rest.ownErrorDb ?? Number.NEGATIVE_INFINITY,
    restV: rest.restV ?? Number.POSITIVE_INFINITY,
  };
}
