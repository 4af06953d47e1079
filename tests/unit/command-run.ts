import { vi } from 'vitest';
import { runCommand } from '../../engine/cli/run-command.ts';

export interface CommandResult {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** One command of the command line inside the test's own process: another process takes a second to start. */
export async function cliplead(...args: string[]): Promise<CommandResult> {
  const [out, err]: [string[], string[]] = [[], []];
  const listening = [
    [process.stdout, out],
    [process.stderr, err],
  ] as const;
  const spies = listening.map(([stream, texts]) =>
    vi.spyOn(stream, 'write').mockImplementation((text) => {
      texts.push(String(text));
      return true;
    }),
  );
  try {
    const code = await runCommand(args);
    return { code, out: out.join(''), err: err.join('') };
  } finally {
    for (const spy of spies) spy.mockRestore();
  }
}
