import { Dice } from './dice.ts';

/** The browser's stored texts by name, and how they were damaged. */
export interface StoredState {
  readonly what: string;
  readonly texts: Readonly<Record<string, string>>;
}

/** The stored data of a normal bench, damaged in one place, from a seed. */
export function damagedState(texts: Readonly<Record<string, string>>, seed: number): StoredState {
  return new Damage(seed).state(texts);
}

/** Values that replace another value. */
const STRANGE: readonly unknown[] = [
  null,
  true,
  0,
  -1,
  1e308,
  '',
  '1e999',
  'constructor',
  '\u0000\uD800]]>',
  [],
  {},
  [[[[[[[[]]]]]]]],
  { value: '4k7', type: 'no-such-type' },
  '9'.repeat(2000),
  'x'.repeat(100_000),
];

type Json = Record<string, unknown>;

class Damage {
  readonly #dice: Dice;

  constructor(seed: number) {
    this.#dice = new Dice(seed);
  }

  state(texts: Readonly<Record<string, string>>): StoredState {
    const key = this.#dice.draw() < 0.6 ? 'cliplead-bench' : this.#dice.pick(Object.keys(texts));
    const [what, text] = this.#text(texts[key] ?? '', texts);
    return { what: `${key} ${what}`, texts: { ...texts, [key]: text } };
  }

  #text(text: string, texts: Readonly<Record<string, string>>): readonly [what: string, text: string] {
    const kind = this.#dice.draw();
    if (kind < 0.1) return ['cut short', text.slice(0, Math.floor(this.#dice.draw() * text.length))];
    if (kind < 0.15) return ['of another name', this.#dice.pick(Object.values(texts))];
    if (kind < 0.2) return ['with a character changed', this.#changed(text)];
    if (kind < 0.25) return ['as something else', JSON.stringify(this.#dice.pick(STRANGE))];
    return this.#damagedJson(text);
  }

  #changed(text: string): string {
    const at = Math.floor(this.#dice.draw() * text.length);
    return `${text.slice(0, at)}${String.fromCharCode(32 + Math.floor(95 * this.#dice.draw()))}${text.slice(at + 1)}`;
  }

  /** Builds are texts inside the text: they are damaged inside as often as outside. */
  #damagedJson(text: string): readonly [what: string, text: string] {
    const whole = parsed(text);
    if (typeof whole !== 'object' || whole === null) return ['doubled', text + text];
    const slot = this.#dice.pick(['a', 'b']);
    const build = parsed(String((whole as Json)[slot]));
    if (typeof build === 'object' && build !== null && this.#dice.draw() < 0.6) {
      const what = this.#damage(build as Json);
      return [`build ${slot} ${what}`, JSON.stringify({ ...whole, [slot]: JSON.stringify(build) })];
    }
    const what = this.#damage(whole as Json);
    return [what, JSON.stringify(whole)];
  }

  /** Damages an object at some place. @returns What was done. */
  #damage(record: Json): string {
    const key = this.#dice.pick(Object.keys(record));
    const inner = record[key];
    if (
      typeof inner === 'object' &&
      inner !== null &&
      Object.keys(inner).length > 0 &&
      this.#dice.draw() < 0.7
    )
      return `${key}.${this.#damage(inner as Json)}`;
    const kind = this.#dice.draw();
    if (kind < 0.15) {
      delete record[key];
      return `${key} gone`;
    }
    if (kind < 0.25) {
      record[`${key}2`] = inner;
      return `${key} under another name too`;
    }
    if (kind < 0.35) {
      record['version'] = 99;
      return 'of another version';
    }
    if (kind < 0.45) {
      record['circuit'] = 'no-such-circuit';
      return 'of an unknown circuit';
    }
    const strange = this.#dice.pick(STRANGE);
    record[key] = strange;
    return `${key} ${JSON.stringify(strange).slice(0, 30)}`;
  }
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
