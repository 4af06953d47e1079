import { runCommand } from './run-command.ts';

// A reader that closes early, such as a pager or `head`, is not a failure.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});
process.exitCode = await runCommand(process.argv.slice(2));
