/** A node is known by its name; `GROUND` is the reference. */
export type NodeName = string;
export const GROUND: NodeName = '0';
