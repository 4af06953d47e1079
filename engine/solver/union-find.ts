/** Disjoint sets over the indices 0 to size − 1, with path halving. */
export class UnionFind {
  readonly #parent: Int32Array;

  constructor(size: number) {
    this.#parent = Int32Array.from({ length: size }, (_, index) => index);
  }

  find(index: number): number {
    const parent = this.#parent;
    let node = index;
    while (parent[node] !== node) {
      parent[node] = parent[parent[node]!]!;
      node = parent[node]!;
    }
    return node;
  }

  union(a: number, b: number): void {
    this.#parent[this.find(a)] = this.find(b);
  }
}
