/** Name and message of a thrown value. Not everything that browsers throw is an Error: WebKit's OverconstrainedError is not. */
export interface Thrown {
  /** '' where it has none. */
  readonly name: string;
  readonly message: string;
}

export function thrown(error: unknown): Thrown {
  const { name = '', message = String(error) } = Object(error) as Partial<Record<keyof Thrown, unknown>>;
  return { name: String(name), message: String(message) };
}
