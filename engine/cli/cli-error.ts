import { Refusal } from '../input/refusal.ts';

/** A mistake on the command line that the user can correct: one line, exit code 2. */
export class CliError extends Refusal {
  constructor(message: string, code: 'option' | 'file' | 'recording' = 'option') {
    super(code, message);
    this.name = 'CliError';
  }
}
