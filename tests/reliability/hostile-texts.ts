import type { Dice } from './dice.ts';

const long = (text: string, length: number) => text.repeat(Math.ceil(length / text.length)).slice(0, length);

/**
 * Texts that have broken programs: control characters, halves of surrogate pairs, ends of markup, very long texts,
 * texts that are not a value.
 */
export const HOSTILE_TEXTS: readonly string[] = [
  '',
  ' ',
  '\u0000',
  '\u001b[31mred\u001b[0m\u0007',
  '\r\n\r\n',
  'one\nline\tand another',
  '\u0085\u2028\u2029',
  '\u202eright to left\u2066',
  '\ud800',
  'half \udc00 a pair',
  '\ufffe\uffff',
  ']]>',
  '<script>alert(1)</script>',
  '</svg><image href="x" onerror="y"/>',
  '&amp;&#0;&bogus;',
  '"quoted" and \'so\' and \\back\\',
  '../../etc/passwd',
  '%s%n%x `id` $(id)',
  '__proto__',
  'constructor',
  '🎸'.repeat(30),
  'é́́́́́́́́́́́́',
  long('9', 20_000),
  `${long('1', 20_000)}x1`,
  `${long('1', 300)}.${long('1', 300)}k`,
  long('1 ', 5000),
  long('x', 100_000),
  `1x${' '.repeat(20_000)}\n`,
  `E12 ${long('.', 20_000)} x`,
  '1e999',
  '-0',
  '0x10',
  'Infinity',
  'nan',
  '٣٤',
  '4k7 4k7',
  '4k7//4k7//4k7',
  '1e-400',
  '999999999999G',
];

/** A random one of these texts, or two of them joined. */
export function hostileText(dice: Dice): string {
  const text = dice.pick(HOSTILE_TEXTS);
  return dice.draw() < 0.2 ? text + dice.pick(HOSTILE_TEXTS) : text;
}

/** A text with some of its letters changed, removed or doubled. */
export function damagedText(dice: Dice, text: string): string {
  let damaged = text;
  for (let count = dice.few(12); count > 0; count--) {
    const at = dice.below(damaged.length + 1);
    const end = Math.min(damaged.length, at + dice.few(40));
    const piece = damaged.slice(at, end);
    const instead = [
      '',
      piece + piece,
      String.fromCharCode(dice.below(0x10000)),
      dice.pick(['"', '{', '}', '[', ']', ',', ':', '\\', '\u0000', '-', '1e999', 'null', '\ud800']),
    ];
    damaged = damaged.slice(0, at) + dice.pick(instead) + damaged.slice(end);
  }
  return damaged;
}
