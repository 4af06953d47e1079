/**
 * Strongly connected components of a directed graph, in topological order: every edge leads from a
 * component to itself or to a later one.
 *
 * @param successors successors[i] are the vertices that vertex i leads to.
 * @see R. Tarjan, "Depth-first search and linear graph algorithms", SIAM J. Comput. 1 (1972), 146
 */
export function strongComponents(successors: readonly (readonly number[])[]): number[][] {
  const order = new Int32Array(successors.length).fill(-1);
  const low = new Int32Array(successors.length);
  const onStack = new Uint8Array(successors.length);
  const stack: number[] = [];
  const components: number[][] = [];
  let next = 0;

  const visit = (vertex: number): void => {
    order[vertex] = next;
    low[vertex] = next;
    next++;
    stack.push(vertex);
    onStack[vertex] = 1;
    for (const successor of successors[vertex]!) {
      if (order[successor] === -1) {
        visit(successor);
        low[vertex] = Math.min(low[vertex]!, low[successor]!);
      } else if (onStack[successor]) {
        low[vertex] = Math.min(low[vertex]!, order[successor]!);
      }
    }
    if (low[vertex] === order[vertex]) components.push(popComponent(vertex));
  };
  const popComponent = (root: number): number[] => {
    const component: number[] = [];
    for (;;) {
      const vertex = stack.pop()!;
      onStack[vertex] = 0;
      component.push(vertex);
      if (vertex === root) return component;
    }
  };

  for (let vertex = 0; vertex < successors.length; vertex++) if (order[vertex] === -1) visit(vertex);
  return components.reverse();
}
