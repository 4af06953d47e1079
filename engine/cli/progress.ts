/** Where progress is shown: a terminal, or its replacement in a test. */
interface Terminal {
  readonly isTTY?: boolean;
  write(text: string): unknown;
}

/**
 * Shows the progress of a long run on a terminal, once for every percent; nothing if there is no terminal.
 *
 * @returns A function to call with the finished share, 0 to 1.
 */
export function progressOn(terminal: Terminal = process.stderr): (share: number) => void {
  if (!terminal.isTTY) return () => {};
  let shown = -1;
  return (share) => {
    const percent = Math.floor(100 * share);
    if (percent === shown) return;
    shown = percent;
    terminal.write(`\r${percent} %${percent >= 100 ? '\n' : ''}`);
  };
}
