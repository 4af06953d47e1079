/** Prints rows with aligned columns; numbers are right-aligned. */
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
