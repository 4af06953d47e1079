import { editDistance } from '../input/edit-distance.ts';
import { isRecord } from '../input/json.ts';
import { quoted, shownValue } from '../input/shown-text.ts';

/**
 * Shapes of JSON documents. A shape both reads a value and gives its JSON Schema, so the two cannot disagree.
 */

/** One value in a document that has the wrong shape. */
export interface ShapeProblem {
  readonly code:
    | 'missing'
    | 'unknown-key'
    | 'wrong-type'
    | 'not-one-of'
    | 'out-of-range'
    | 'wrong-length'
    | 'bad-name';
  /** Where in the document, as "stages[0].parts.R4.value"; empty for the whole. */
  readonly place: string;
  /** What is wrong, a sentence. */
  readonly problem: string;
  /** What to do, a sentence. */
  readonly remedy: string;
}

export type JsonSchema = Readonly<Record<string, unknown>>;

/** @typeParam T Type of a valid value. */
export interface Shape<T> {
  readonly schema: JsonSchema;
  /** The value, or undefined after at least one problem was added to the list. Never throws. */
  read(value: unknown, place: string, problems: ShapeProblem[]): T | undefined;
}

export type ShapeOf<S> = S extends Shape<infer T> ? T : never;

/** Characters of a value that are compared with words; more would take long. */
const MOST_COMPARED = 60;

/** Most problems that are listed; a hostile file could cause millions. */
export const MOST_PROBLEMS = 100;

/** @param what Description of the text, for the message. */
export function text(limits: {
  readonly most: number;
  readonly pattern?: string;
  readonly what?: string;
}): Shape<string> {
  const { most, pattern, what = `a text of at most ${most} characters` } = limits;
  const expression = pattern === undefined ? undefined : new RegExp(pattern, 'u');
  return {
    schema: { type: 'string', maxLength: most, ...(pattern !== undefined && { pattern }) },
    read: (value, place, problems) => {
      if (typeof value !== 'string') return report(problems, 'wrong-type', place, value, what);
      // In code points, as JSON Schema counts.
      if (value.length > 2 * most || [...value].length > most)
        return report(problems, 'wrong-length', place, value, what);
      if (expression && !expression.test(value)) return report(problems, 'bad-name', place, value, what);
      return value;
    },
  };
}

export function number(limits: {
  readonly least: number;
  readonly most: number;
  readonly isWhole?: boolean;
}): Shape<number> {
  const { least, most, isWhole = false } = limits;
  const what = `a ${isWhole ? 'whole ' : ''}number from ${least} to ${most}`;
  return {
    schema: { type: isWhole ? 'integer' : 'number', minimum: least, maximum: most },
    read: (value, place, problems) => {
      if (typeof value !== 'number') return report(problems, 'wrong-type', place, value, what);
      const isGood = value >= least && value <= most && (!isWhole || Number.isInteger(value));
      return isGood ? value : report(problems, 'out-of-range', place, value, what);
    },
  };
}

export function flag(): Shape<boolean> {
  return {
    schema: { type: 'boolean' },
    read: (value, place, problems) =>
      typeof value === 'boolean' ? value : report(problems, 'wrong-type', place, value, 'true or false'),
  };
}

/** One of a few words or numbers. */
export function oneOf<const T extends string | number>(values: readonly T[]): Shape<T> {
  return {
    schema: values.length === 1 ? { const: values[0] } : { enum: values },
    read: (value, place, problems) =>
      values.find((each) => each === value) ??
      report(problems, 'not-one-of', place, value, values.map((each) => shownValue(each)).join(' or ')),
  };
}

/** One of a long list of words: the message gives only the one that is nearest. */
export function wordOf<const T extends string>(words: readonly T[], what: string): Shape<T> {
  return {
    schema: words.length === 1 ? { const: words[0] } : { enum: words },
    read: (value, place, problems) => {
      const found = words.find((word) => word === value);
      if (found !== undefined) return found;
      const nearest = nearestWord(words, typeof value === 'string' ? value.slice(0, MOST_COMPARED) : '');
      return report(problems, 'not-one-of', place, value, `${what}, such as ${quoted(nearest)}`);
    },
  };
}

function nearestWord(words: readonly string[], value: string): string {
  const distances = words.map((word) => editDistance(word, value));
  return words[distances.indexOf(Math.min(...distances))]!;
}

export function list<T>(
  of: Shape<T>,
  { least = 0, most }: { readonly least?: number; readonly most: number },
): Shape<readonly T[]> {
  const what = `a list of ${least} to ${most} entries`;
  return {
    schema: { type: 'array', items: of.schema, minItems: least, maxItems: most },
    read: (value, place, problems) => {
      if (!Array.isArray(value)) return report(problems, 'wrong-type', place, value, what);
      if (value.length < least || value.length > most)
        return report(problems, 'wrong-length', place, value, what);
      return complete(value.map((entry, index) => of.read(entry, `${place}[${index}]`, problems)));
    },
  };
}

/** A list of a fixed length with a shape for each entry. */
export function tuple<const S extends readonly Shape<unknown>[]>(
  ...shapes: S
): Shape<{ readonly [K in keyof S]: ShapeOf<S[K]> }> {
  const { length } = shapes;
  const what = `a list of ${length} entries`;
  return {
    schema: {
      type: 'array',
      prefixItems: shapes.map(({ schema }) => schema),
      items: false,
      minItems: length,
      maxItems: length,
    },
    read: (value, place, problems) => {
      if (!Array.isArray(value)) return report(problems, 'wrong-type', place, value, what);
      if (value.length !== length) return report(problems, 'wrong-length', place, value, what);
      const entries = shapes.map((shape, index) => shape.read(value[index], `${place}[${index}]`, problems));
      return complete(entries) as { readonly [K in keyof S]: ShapeOf<S[K]> } | undefined;
    },
  };
}

/** An object with keys that the author chooses. */
export function record<T>(
  of: Shape<T>,
  { pattern, what, most }: { readonly pattern: string; readonly what: string; readonly most: number },
): Shape<Readonly<Record<string, T>>> {
  const expression = new RegExp(pattern, 'u');
  return {
    schema: {
      type: 'object',
      propertyNames: { pattern },
      additionalProperties: of.schema,
      maxProperties: most,
    },
    read: (value, place, problems) => {
      if (!isRecord(value)) return report(problems, 'wrong-type', place, value, 'an object');
      const keys = Object.keys(value);
      if (keys.length > most)
        return report(problems, 'wrong-length', place, value, `an object of at most ${most} entries`);
      const entries = keys.map((key): [string, T] | undefined => {
        const inside = at(place, key);
        if (!expression.test(key)) return report(problems, 'bad-name', inside, key, what);
        const read = of.read(value[key], inside, problems);
        return read === undefined ? undefined : [key, read];
      });
      const whole = complete(entries);
      return whole && Object.fromEntries(whole);
    },
  };
}

type Fields = Readonly<Record<string, Shape<unknown>>>;
type Read<R extends Fields, O extends Fields> = {
  readonly [K in keyof R]: ShapeOf<R[K]>;
} & { readonly [K in keyof O]?: ShapeOf<O[K]> };

/** An object with the given keys only. */
export function object<R extends Fields, O extends Fields = Record<never, never>>(
  required: R,
  optional?: O,
): Shape<Read<R, O>> {
  const fields: Fields = { ...required, ...optional };
  const known = Object.keys(fields).join(', ');
  return {
    schema: {
      type: 'object',
      required: Object.keys(required),
      additionalProperties: false,
      properties: Object.fromEntries(Object.entries(fields).map(([key, { schema }]) => [key, schema])),
    },
    read: (value, place, problems) => {
      if (!isRecord(value)) return report(problems, 'wrong-type', place, value, 'an object');
      const before = problems.length;
      for (const key of Object.keys(value)) {
        if (!Object.hasOwn(fields, key)) {
          add(problems, {
            code: 'unknown-key',
            place: at(place, key),
            problem: `${shownValue(key)} is not known here.`,
            remedy: `Remove it, or use one of: ${known}.`,
          });
        }
      }
      const read: Record<string, unknown> = {};
      for (const [key, shape] of Object.entries(fields)) {
        if (Object.hasOwn(value, key)) read[key] = shape.read(value[key], at(place, key), problems);
        else if (Object.hasOwn(required, key)) {
          add(problems, {
            code: 'missing',
            place: at(place, key),
            problem: `${shownValue(key)} is missing.`,
            remedy: `Add ${shownValue(key)}.`,
          });
        }
      }
      return problems.length > before ? undefined : (read as Read<R, O>);
    },
  };
}

/** Objects of several kinds; the word at one key says which. */
export function kinds<S extends Readonly<Record<string, Shape<unknown>>>>(
  key: string,
  shapes: S,
): Shape<ShapeOf<S[keyof S]>> {
  const names = Object.keys(shapes);
  return {
    schema: { anyOf: Object.values(shapes).map(({ schema }) => schema) },
    read: (value, place, problems) => {
      if (!isRecord(value)) return report(problems, 'wrong-type', place, value, 'an object');
      const name = Object.hasOwn(value, key) ? value[key] : undefined;
      if (typeof name !== 'string' || !Object.hasOwn(shapes, name)) {
        return report(
          problems,
          'not-one-of',
          at(place, key),
          name,
          names.map((each) => shownValue(each)).join(' or '),
        );
      }
      return shapes[name]!.read(value, place, problems) as ShapeOf<S[keyof S]> | undefined;
    },
  };
}

/** One of several shapes; whether the value is a text, a list or an object says which. */
export function either<const S extends readonly Shape<unknown>[]>(
  what: string,
  choose: (value: unknown) => number,
  ...shapes: S
): Shape<ShapeOf<S[number]>> {
  return {
    schema: { anyOf: shapes.map(({ schema }) => schema) },
    read: (value, place, problems) => {
      const shape = shapes[choose(value)];
      if (!shape) return report(problems, 'wrong-type', place, value, what);
      return shape.read(value, place, problems) as ShapeOf<S[number]> | undefined;
    },
  };
}

/** The same shape with a description in the schema. */
export function described<T>(description: string, shape: Shape<T>): Shape<T> {
  return { ...shape, schema: { description, ...shape.schema } };
}

function at(place: string, key: string): string {
  const name = /^[\w ]{1,40}$/u.test(key) ? key : quoted(key);
  return place === '' ? name : `${place}.${name}`;
}

function report(
  problems: ShapeProblem[],
  code: ShapeProblem['code'],
  place: string,
  value: unknown,
  wanted: string,
): undefined {
  add(problems, {
    code,
    place,
    problem: `${place === '' ? 'The document' : place} is ${shownValue(value)}.`,
    remedy: `It should be ${wanted}.`,
  });
}

function add(problems: ShapeProblem[], problem: ShapeProblem): void {
  // One more than is shown, so that a reader knows that there are more.
  if (problems.length <= MOST_PROBLEMS) problems.push(problem);
}

/** The list, or undefined if an entry is undefined. */
function complete<T>(entries: readonly (T | undefined)[]): readonly T[] | undefined {
  return entries.every((entry) => entry !== undefined) ? (entries as readonly T[]) : undefined;
}
