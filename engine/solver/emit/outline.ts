import type { Code, Local } from './expression.ts';
import type { FunctionBuilder, Statement } from './function-builder.ts';

/** Where a function keeps a variable: in a variable of its own, in memory that functions share, or in both. */
export type Place =
  | { readonly kind: 'own'; readonly index: number }
  | { readonly kind: 'memory'; readonly address: number }
  /** Read from the variable, which other functions do not change while it is used; set in both. */
  | { readonly kind: 'both'; readonly index: number; readonly address: number };

/** One of the functions into which the code of a sample loop is divided. */
export interface OutlinedFunction {
  readonly statements: readonly Statement[];
  /** Places of the builder's variables, by their index; undefined for those that it does not mention. */
  readonly places: readonly (Place | undefined)[];
  /** Kinds of its own variables after the two parameters. */
  readonly ownKinds: readonly Local['kind'][];
  /** Variables that it reads before it sets them: to be read from memory at its start. */
  readonly loaded: readonly { readonly index: number; readonly address: number }[];
}

/** A main function, and those that it calls with its first parameter and the frame. */
export type Outline = readonly [main: OutlinedFunction, ...segments: OutlinedFunction[]];

const PARAMETERS = 2;

/**
 * Divides the code of a sample loop into functions of limited size, at its cuts: V8 gives registers to the values of a function with
 * more than 8192 of them by a fast method, which makes the code a third slower. What is small enough stays one function.
 *
 * @param most Size of a function in operations. @param frame The loop's counter.
 */
export function outline(f: FunctionBuilder, frame: Local, most: number): Outline {
  const loopAt = f.statements.findIndex(({ kind }) => kind === 'loop');
  const loop = f.statements[loopAt];
  const whole = () => [placed([f.statements], f, frame)[0]!] as const;
  if (loop?.kind !== 'loop' || sizeOf(f.statements) <= most) return whole();
  const pieces = piecesOf(loop.body);
  if (pieces.length < 3) return whole();
  const segments = grouped(pieces.slice(1, -1), most);
  const calls = segments.map((_, index): Statement => ({ kind: 'segment', index }));
  const body = [...pieces[0]!, ...calls, ...pieces.at(-1)!];
  const main = [
    ...f.statements.slice(0, loopAt),
    { kind: 'loop', body } as const,
    ...f.statements.slice(loopAt + 1),
  ];
  const [first, ...others] = placed([main, ...segments], f, frame, body);
  return [first!, ...others];
}

function piecesOf(body: readonly Statement[]): Statement[][] {
  const pieces: Statement[][] = [[]];
  for (const statement of body) {
    if (statement.kind === 'cut') pieces.push([]);
    else pieces.at(-1)!.push(statement);
  }
  return pieces;
}

/** Adjacent pieces together, in as few groups of about equal size as the limit needs. */
function grouped(pieces: readonly (readonly Statement[])[], most: number): Statement[][] {
  const sizes = pieces.map(sizeOf);
  const total = sizes.reduce((sum, size) => sum + size, 0);
  const target = total / Math.ceil(total / most);
  const groups: Statement[][] = [];
  let done = 0;
  pieces.forEach((piece, index) => {
    const group = Math.min(Math.floor((done + sizes[index]! / 2) / target), groups.length);
    if (groups[group]) groups[group].push(...piece);
    else groups.push([...piece]);
    done += sizes[index]!;
  });
  return groups;
}

/** @param loopBody What of the first function runs in every sample. */
function placed(
  functions: readonly (readonly Statement[])[],
  f: FunctionBuilder,
  frame: Local,
  loopBody: readonly Statement[] = [],
): OutlinedFunction[] {
  const uses = functions.map((statements) => usesOf(statements));
  const inLoop = [usesOf(loopBody), ...uses.slice(1)];
  const address = new Map<number, number>();
  for (const { kind, index } of f.locals) {
    if (uses.filter((each) => each.mentioned.has(index)).length < 2) continue;
    if (kind === 'double') address.set(index, f.table(new Float64Array(1)));
    else if (index !== frame.index) throw new TypeError('an integer is used on both sides of a cut');
  }
  return functions.map((statements, own) => {
    const places: (Place | undefined)[] = [];
    const ownKinds: Local['kind'][] = [];
    const loaded: { index: number; address: number }[] = [];
    const newOwn = (kind: Local['kind']) => PARAMETERS + ownKinds.push(kind) - 1;
    f.parameters.forEach(({ index }) => {
      places[index] = { kind: 'own', index };
    });
    for (const { kind, index } of f.locals) {
      if (!uses[own]!.mentioned.has(index)) continue;
      const shared = address.get(index);
      if (own > 0 && index === frame.index) places[index] = { kind: 'own', index: 1 };
      else if (shared === undefined) places[index] = { kind: 'own', index: newOwn(kind) };
      else {
        const setters = inLoop.flatMap((each, at) => (each.set.has(index) ? [at] : []));
        const isOnlySetter = setters.length === 1 && setters[0] === own;
        places[index] = isOnlySetter
          ? { kind: 'both', index: newOwn(kind), address: shared }
          : { kind: 'memory', address: shared };
        const place = places[index];
        if (place?.kind === 'both' && uses[own]!.isReadFirst.has(index))
          loaded.push({ index: place.index, address: shared });
      }
    }
    return { statements, places, ownKinds, loaded };
  });
}

interface Uses {
  readonly mentioned: ReadonlySet<number>;
  readonly set: ReadonlySet<number>;
  /** Read, or set on one way only, before it is set on every way. */
  readonly isReadFirst: ReadonlySet<number>;
}

function usesOf(statements: readonly Statement[]): Uses {
  const [mentioned, set, isReadFirst] = [new Set<number>(), new Set<number>(), new Set<number>()];
  const surelySet = new Set<number>();
  const read = (code: Code) => {
    if (code.local) {
      mentioned.add(code.local.index);
      if (!surelySet.has(code.local.index)) isReadFirst.add(code.local.index);
    }
    for (const arg of code.args) read(arg);
  };
  const visit = (all: readonly Statement[], isSure: boolean) => {
    for (const statement of all) {
      for (const code of codesOf(statement)) read(code);
      if (statement.kind === 'declare' || statement.kind === 'set') {
        const { index } = statement.local;
        mentioned.add(index);
        set.add(index);
        if (isSure || statement.kind === 'declare') surelySet.add(index);
        else if (!surelySet.has(index)) isReadFirst.add(index);
      }
      if (statement.kind === 'loop') visit(statement.body, isSure);
      if (statement.kind === 'when') {
        visit(statement.whenTrue, false);
        visit(statement.whenFalse, false);
      }
    }
  };
  visit(statements, true);
  return { mentioned, set, isReadFirst };
}

function codesOf(statement: Statement): readonly Code[] {
  switch (statement.kind) {
    case 'declare':
    case 'set':
    case 'return':
      return [statement.value];
    case 'store':
      return [statement.bytes, statement.value];
    case 'when':
    case 'leaveIf':
    case 'againIf':
      return [statement.condition];
    default:
      return [];
  }
}

function sizeOf(statements: readonly Statement[]): number {
  const ofCode = ({ args }: Code): number => 1 + args.reduce((sum, arg) => sum + ofCode(arg), 0);
  return statements.reduce((sum, statement) => {
    const inner =
      statement.kind === 'loop'
        ? sizeOf(statement.body)
        : statement.kind === 'when'
          ? sizeOf(statement.whenTrue) + sizeOf(statement.whenFalse)
          : 0;
    return sum + inner + codesOf(statement).reduce((total, code) => total + ofCode(code), 0);
  }, 0);
}
