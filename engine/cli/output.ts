import { writeFileSync } from 'node:fs';
import { CliError } from './cli-error.ts';
import { reason } from './options.ts';

/** Prints rows with their columns aligned; numbers stand to the right. */
export function printTable(rows: readonly (readonly string[])[]): void {
  const widths = (rows[0] ?? []).map((_, column) =>
    Math.max(...rows.map((row) => (row[column] ?? '').length)),
  );
  const isNumber = (cell: string) => /^-?[\d.]+( \w+)?$/.test(cell);
  for (const row of rows) {
    const cells = row.map((cell, column) => {
      const width = widths[column] ?? 0;
      return isNumber(cell) ? cell.padStart(width) : cell.padEnd(width);
    });
    process.stdout.write(`${cells.join('  ').trimEnd()}\n`);
  }
}

export function printJson(value: unknown): void {
  process.stdout.write(`${JSON.stringify(value, undefined, 2)}\n`);
}

/** Writes the file that --out names. @throws CliError where that cannot be done. */
export function writeOutput(path: string, content: Uint8Array | string): void {
  try {
    writeFileSync(path, content);
  } catch (error) {
    throw new CliError(`--out: "${path}" cannot be written: ${reason(error)}.`);
  }
}

/** Shows on a terminal how far a long run has come. */
export function showProgress(share: number): void {
  process.stderr.write(`\r${Math.round(100 * share)} %${share >= 1 ? '\n' : ''}`);
}
