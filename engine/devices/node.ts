/** A node is known by its name; `GROUND` is the reference. */
export type NodeName = string;
export const GROUND: NodeName = '0';

export interface PrimitiveBase {
  /** Reference designator of the part that it came from, with a suffix where a part has several. */
  readonly ref: string;
}
