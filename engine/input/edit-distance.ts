/**
 * Smallest number of letters to insert, remove or replace to change one word into the other.
 * @see V. Levenshtein, Soviet Physics Doklady 10 (1966), 707
 */
export function editDistance(one: string, other: string): number {
  let above = Array.from({ length: other.length + 1 }, (_, column) => column);
  for (let row = 1; row <= one.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= other.length; column += 1) {
      const exchanged = above[column - 1]! + (one[row - 1] === other[column - 1] ? 0 : 1);
      current.push(Math.min(exchanged, above[column]! + 1, current[column - 1]! + 1));
    }
    above = current;
  }
  return above[other.length]!;
}
