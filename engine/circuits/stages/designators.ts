import { findOpamp, typesOf } from '../../parts/catalogue.ts';
import type { StageDocument } from './stage-document.ts';

const REF = /^([A-Z]+)([0-9]+)([A-Z]?)$/u;

/** Gives designators in the order of the signal: R1, R2, ... over all stages, and halves of dual op-amps in turn. */
export class Designators {
  readonly #last = new Map<string, number>();
  /** Packages with a half that is free, by type. */
  readonly #halfFree = new Map<string, string>();
  readonly #packages = new Map<string, { readonly type: string; readonly titles: string[]; role: string }>();

  /** New designators of a stage's parts and packages. */
  ofStage({ parts, packages, title }: StageDocument): ReadonlyMap<string, string> {
    const refs = new Map<string, string>();
    const numbers = new Map<string, number>();
    for (const [ref, part] of Object.entries(parts)) {
      if (part.kind === 'opamp') {
        const given = packages[part.package];
        const amplifier = given ? this.#amplifier(given.type, given.role, title) : ref;
        refs.set(ref, amplifier);
        if (!refs.has(part.package)) refs.set(part.package, amplifier.slice(0, -1));
        continue;
      }
      const [, letters = '', , half = ''] = REF.exec(ref) ?? [];
      const base = ref.slice(0, ref.length - half.length);
      // Two halves of one part, VR1A and VR1B, stay together.
      if (!numbers.has(base)) numbers.set(base, this.#next(letters));
      refs.set(ref, `${letters}${numbers.get(base)}${half}`);
    }
    return refs;
  }

  /** Every package with its type and what it is for. */
  packages(): Readonly<Record<string, { readonly type: string; readonly role: string }>> {
    return Object.fromEntries(
      [...this.#packages].map(([ref, { type, titles, role }]) => {
        const [first = '', second] = titles.map(lowerFirst);
        const shared = `Dual op-amp: ${first}${second === undefined ? '' : ` and ${second}`}.`;
        return [ref, { type, role: second === undefined ? role : shared }];
      }),
    );
  }

  #amplifier(type: string, role: string, title: string): string {
    const open = this.#halfFree.get(type);
    if (open !== undefined) {
      this.#halfFree.delete(type);
      this.#packages.get(open)!.titles.push(title);
      return `${open}B`;
    }
    const ref = `U${this.#next('U')}`;
    this.#packages.set(ref, { type, titles: [title], role });
    if (isDual(type)) this.#halfFree.set(type, ref);
    return `${ref}A`;
  }

  #next(letters: string): number {
    const number = (this.#last.get(letters) ?? 0) + 1;
    this.#last.set(letters, number);
    return number;
  }
}

/** "Op-amp buffer" in a sentence; "JFET follower" stays. */
export function lowerFirst(title: string): string {
  return /^[A-Z][a-z]/u.test(title) ? title[0]!.toLowerCase() + title.slice(1) : title;
}

/** Of an unknown type, which is refused later, no half is free. */
const isDual = (type: string): boolean =>
  typesOf('opamp').includes(type) && findOpamp(type).amplifiersPerPackage === 2;
