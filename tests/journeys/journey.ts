import type { Person } from './person.ts';

/** What the browser gives the page as an audio interface. */
export type Input = 'guitar' | 'silence' | 'denied';

/** Actions that a part of a journey took. */
export interface Count {
  readonly what: string;
  readonly actions: number;
  /** Those that take a hand off the guitar. */
  readonly byHand: number;
  readonly mostActions?: number;
  readonly mostByHand?: number;
}

/** A way through the bench as a person goes it, from the first visit on. */
export interface Journey {
  readonly name: string;
  readonly screen: { readonly width: number; readonly height: number };
  readonly isPhone?: true;
  readonly input: Input;
  readonly go: (person: Person) => Promise<readonly Count[]>;
}

/** What a person has done since counting began. */
export function counted(
  person: Person,
  what: string,
  most: { readonly actions?: number; readonly byHand?: number } = {},
): Count {
  return {
    what,
    actions: person.actions,
    byHand: person.byHand,
    ...(most.actions === undefined ? {} : { mostActions: most.actions }),
    ...(most.byHand === undefined ? {} : { mostByHand: most.byHand }),
  };
}
