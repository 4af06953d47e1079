import { POT_LAWS, type PotLaw, potTitle } from '../units/taper.ts';
import { KINDS, MATERIALS, ratedCode, TAPERS } from './bag-words.ts';
import type { BagKind } from './part-need.ts';

const DUAL = /\b(dual([ -]gang)?|stereo|tandem)\b/i;

/** What words say, while they are taken out of a line one after the other. */
export interface Found {
  rest: string;
  kind: BagKind | undefined;
  material: string | undefined;
  tolerancePercent: number | undefined;
  ratedV: number | undefined;
  ratedW: number | undefined;
  law: PotLaw | undefined;
  isDual: boolean;
}

/** Takes out of a line what words and signs say of a part, from the most certain to the least; values stay. */
export function findingsIn(line: string): Found {
  const found: Found = {
    rest: line,
    kind: undefined,
    material: undefined,
    tolerancePercent: undefined,
    ratedV: undefined,
    ratedW: undefined,
    law: undefined,
    isDual: false,
  };
  takeTitle(found);
  takeRatedCode(found);
  takeRatings(found);
  takeWords(found);
  return found;
}

/** Words of a line, in order. */
export function wordsOf(text: string): readonly string[] {
  return text.split(/[\s;]+|,(?!\d)/).filter((word) => word !== '' && word !== ',');
}

/** Takes the title of a taper out of the line, before its percents are taken for a tolerance. */
function takeTitle(found: Found): void {
  for (const law of POT_LAWS) {
    const title = potTitle(law).replace(' %', '%');
    if (!found.rest.toLowerCase().includes(title.toLowerCase()) || !title.includes('%')) continue;
    if (found.law !== undefined && potTitle(found.law).length > title.length) continue;
    found.law = law;
  }
  if (found.law !== undefined) {
    const title = potTitle(found.law).replace(' %', '%').toLowerCase();
    const at = found.rest.toLowerCase().indexOf(title);
    found.rest = `${found.rest.slice(0, at)} ${found.rest.slice(at + title.length)}`;
  }
}

/** Leaves of "2A104J" what follows the voltage. */
function takeRatedCode(found: Found): void {
  for (const word of wordsOf(found.rest)) {
    const code = ratedCode(word);
    if (!code) continue;
    found.kind = 'capacitor';
    found.ratedV = code.volts;
    found.rest = found.rest.replace(word, code.rest);
    return;
  }
}

/** Takes tolerance, power and voltage out of the line. */
function takeRatings(found: Found): void {
  const take = (pattern: RegExp): RegExpExecArray | null => {
    const match = pattern.exec(found.rest);
    if (match) found.rest = found.rest.replace(match[0], ' ');
    return match;
  };
  const number = (text: string) => Number(text.replace(',', '.'));
  const percent = take(/(?:±|\+\/-|\+-)?\s*(\d+(?:[.,]\d+)?)%/);
  if (percent) found.tolerancePercent = number(percent[1]!);
  const share = take(/\b1\/([248])W?\b/i);
  const watts = share ? undefined : take(/\b(\d*[.,]?\d+)W\b/i);
  if (share) found.ratedW = 1 / Number(share[1]);
  else if (watts) found.ratedW = number(watts[1]!);
  const code = take(/\b(\d{1,2})V([0-9])\b/);
  const volts = code ? undefined : take(/\b(\d+(?:[.,]\d+)?)V(?:DC)?\b/i);
  if (code) found.ratedV = number(`${code[1]}.${code[2]}`);
  else if (volts) found.ratedV = number(volts[1]!);
}

/** Takes material, kind and taper out of the line. */
function takeWords(found: Found): void {
  const take = (pattern: RegExp): boolean => {
    const isThere = pattern.test(found.rest);
    if (isThere) found.rest = found.rest.replace(pattern, ' ');
    return isThere;
  };
  for (const [pattern, material, kind] of MATERIALS) {
    if (found.material !== undefined || !take(pattern)) continue;
    found.material = material;
    found.kind = kind;
  }
  for (const [pattern, kind] of KINDS) if (take(pattern)) found.kind = kind;
  for (const [pattern, law] of TAPERS) if (found.law === undefined && take(pattern)) found.law = law;
  found.isDual = take(DUAL);
  if (found.law !== undefined || found.isDual) found.kind ??= 'pot';
  if (found.ratedW !== undefined) found.kind ??= 'resistor';
  if (found.ratedV !== undefined) found.kind ??= 'capacitor';
}
