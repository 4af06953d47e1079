/** Where progress is shown; a terminal, or what stands for one in a test. */
interface Terminal {
  readonly isTTY?: boolean;
  write(text: string): unknown;
}

/**
 * Shows on a terminal how far a long run has come, once for every hundredth; nothing where nobody looks.
 *
 * @returns What is called with the share that is done, 0 to 1.
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
