/** Systems take some 250 bytes; a letter has up to four. */
const MOST_LETTERS = 50;

/** A title as the name of a file: letters and digits of any script, dashes between them, cut. */
export function fileName(title: string, otherwise: string): string {
  const letters = [...title.slice(0, 1000).replace(/[^\p{L}\p{N}]+/gu, '-')].slice(0, MOST_LETTERS).join('');
  return letters.replace(/^-|-$/g, '') || otherwise;
}
