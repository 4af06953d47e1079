import fc from 'fast-check';

/** A change at one place of a JSON document. Numbers choose it, so that a run can be repeated. */
interface Mutation {
  readonly place: number;
  readonly kind: 'replace' | 'remove' | 'rename' | 'repeat';
  readonly value: unknown;
}

const anything = fc.oneof(
  fc.jsonValue({ maxDepth: 2 }),
  fc.constantFrom<unknown>(
    '',
    'R1',
    'R1.1',
    'in',
    'ground',
    'gain',
    '__proto__',
    'constructor',
    -1,
    1e308,
    [],
    {},
  ),
  fc.string({ unit: 'binary', maxLength: 2000 }),
);
const mutation: fc.Arbitrary<Mutation> = fc.record({
  place: fc.nat({ max: 1_000_000 }),
  kind: fc.constantFrom('replace', 'remove', 'rename', 'repeat'),
  value: anything,
});

/** Documents with one to four changed places: another value, a missing entry, another key, or a doubled entry. */
export function mutatedDocuments(document: unknown): fc.Arbitrary<unknown> {
  return fc.array(mutation, { minLength: 1, maxLength: 4 }).map((mutations) => {
    const copy = structuredClone(document);
    for (const each of mutations) mutate(copy, each);
    return copy;
  });
}

type Holder = Record<string | number, unknown>;

function mutate(document: unknown, { place, kind, value }: Mutation): void {
  const places = placesOf(document);
  const chosen = places[place % places.length];
  if (!chosen) return;
  const [holder, key] = chosen;
  if (kind === 'replace') holder[key] = value;
  else if (Array.isArray(holder)) {
    if (kind === 'remove') holder.splice(Number(key), 1);
    else holder.push(structuredClone(holder[Number(key)]));
  } else {
    const held = holder[key];
    if (kind !== 'repeat') delete holder[key];
    const name = typeof value === 'string' ? value : `${key}2`;
    // As JSON.parse does with "__proto__" too: it is an ordinary key.
    if (kind !== 'remove')
      Object.defineProperty(holder, name, {
        value: held,
        enumerable: true,
        writable: true,
        configurable: true,
      });
  }
}

function placesOf(value: unknown): (readonly [Holder, string])[] {
  if (typeof value !== 'object' || value === null) return [];
  const holder = value as Holder;
  return Object.keys(holder).flatMap((key) => [[holder, key] as const, ...placesOf(holder[key])]);
}
