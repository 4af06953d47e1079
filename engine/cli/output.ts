type Row = readonly string[];

/** Prints rows with aligned columns; numbers are right-aligned. */
export function printTable(rows: readonly Row[]): void {
  printAligned(rows, widthsOf(rows));
}

/** Prints parts of one table, each below its title; those without rows are left out. */
export function printSections(
  sections: readonly { readonly title: string; readonly rows: readonly Row[] }[],
): void {
  const widths = widthsOf(sections.flatMap(({ rows }) => rows));
  for (const { title, rows } of sections) {
    if (rows.length === 0) continue;
    if (title !== '') process.stdout.write(`\n${title}\n`);
    printAligned(rows, widths);
  }
}

function widthsOf(rows: readonly Row[]): readonly number[] {
  return (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => (row[column] ?? '').length)));
}

function printAligned(rows: readonly Row[], widths: readonly number[]): void {
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
