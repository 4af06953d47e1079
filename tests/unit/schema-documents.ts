import fc from 'fast-check';

/** The keywords of JSON Schema that the project's schemas use. */
export interface DrawnSchema {
  readonly type?: string;
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly anyOf?: readonly DrawnSchema[];
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, DrawnSchema>>;
  readonly pattern?: string;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly items?: DrawnSchema | boolean;
  readonly prefixItems?: readonly DrawnSchema[];
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly properties?: Readonly<Record<string, DrawnSchema>>;
  readonly required?: readonly string[];
  readonly propertyNames?: DrawnSchema;
  readonly additionalProperties?: DrawnSchema | boolean;
}

/**
 * Random documents that a schema allows; lists and objects with free keys stay short.
 *
 * @throws RangeError for an unknown keyword of JSON Schema, so that no constraint is ignored.
 */
export function schemaDocuments(schema: DrawnSchema, root: DrawnSchema = schema): fc.Arbitrary<unknown> {
  const draw = (inner: DrawnSchema) => schemaDocuments(inner, root);
  if (schema.$ref !== undefined) return draw(root.$defs![schema.$ref.replace('#/$defs/', '')]!);
  if ('const' in schema) return fc.constant(schema.const);
  if (schema.enum) return fc.constantFrom(...schema.enum);
  if (schema.anyOf) return fc.oneof(...schema.anyOf.map(draw));
  switch (schema.type) {
    case 'boolean':
      return fc.boolean();
    case 'integer':
      return fc.integer({ min: schema.minimum!, max: schema.maximum! });
    case 'number':
      return fc.double({ min: schema.minimum!, max: schema.maximum!, noNaN: true });
    case 'string':
      return drawText(schema);
    case 'array':
      return drawList(schema, draw);
    case 'object':
      return drawObject(schema, draw);
    default:
      throw new RangeError(`nothing is drawn from ${JSON.stringify(schema).slice(0, 100)}`);
  }
}

function drawText({ pattern, minLength = 0, maxLength = 1000 }: DrawnSchema): fc.Arbitrary<string> {
  const hasLength = (text: string) => [...text].length <= maxLength && [...text].length >= minLength;
  if (pattern === undefined)
    return fc.string({ unit: 'grapheme', maxLength: Math.min(maxLength, 30) }).filter(hasLength);
  const expression = new RegExp(pattern, 'u');
  // The random choice cannot look ahead; documents that a constraint forbids are discarded.
  const drawn = fc.stringMatching(new RegExp(pattern.replace(/\(\?!.*?\)/, ''), 'u'));
  return drawn.filter((text) => hasLength(text) && expression.test(text));
}

function drawList(
  { items, prefixItems, minItems = 0, maxItems = 3 }: DrawnSchema,
  draw: (schema: DrawnSchema) => fc.Arbitrary<unknown>,
): fc.Arbitrary<unknown> {
  if (prefixItems) return fc.tuple(...prefixItems.map(draw));
  return fc.array(draw(items as DrawnSchema), {
    minLength: minItems,
    maxLength: Math.min(maxItems, minItems + 2),
  });
}

function drawObject(
  { properties, required = [], propertyNames, additionalProperties }: DrawnSchema,
  draw: (schema: DrawnSchema) => fc.Arbitrary<unknown>,
): fc.Arbitrary<unknown> {
  if (!properties) {
    const names = propertyNames ? drawText(propertyNames) : fc.string({ minLength: 1, maxLength: 12 });
    return fc.dictionary(names, draw(additionalProperties as DrawnSchema), { maxKeys: 3 });
  }
  const model = Object.fromEntries(Object.entries(properties).map(([key, inner]) => [key, draw(inner)]));
  return fc.record(model, { requiredKeys: [...required] });
}
