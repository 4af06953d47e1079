import ts from 'typescript';

/** A sign at one place of a source, and the text that replaces it when it is flipped. */
export interface SignMutation {
  /** Counted from 1. */
  readonly line: number;
  readonly column: number;
  /** Length of the flipped text. */
  readonly start: number;
  readonly end: number;
  readonly before: string;
  readonly after: string;
  /**
   * Text to add at the end of the source: the import of the other function, if the source lacks it; otherwise empty.
   */
  readonly appended: string;
  /** The line without its indent. */
  readonly context: string;
}

const SWAPPED_TOKENS: ReadonlyMap<ts.SyntaxKind, string> = new Map([
  [ts.SyntaxKind.PlusToken, '-'],
  [ts.SyntaxKind.MinusToken, '+'],
  [ts.SyntaxKind.PlusEqualsToken, '-='],
  [ts.SyntaxKind.MinusEqualsToken, '+='],
]);

/** The sources of the functions that are used as operators, in emitted code and in the equations of devices. */
const EXPRESSIONS = /\/(expression|formula)\.ts$/;
const SWAPPED_CALLS: Readonly<Record<string, string>> = { add: 'subtract', subtract: 'add' };

/** Names for counts of entries, nodes and samples, not for volts or amperes: sums with such names are not flipped. */
const INTEGER_NAME =
  /^(at|offset|index|row|column|place|size|width|length|first|last|next|node|metered|port|ports|entry|address|start|end|past|substeps|steps|(.*(Offset|Index|Row|Column|Count|Size|Width|Port|Ports|Start|Length|Address|Node|Nodes))|[A-Z][A-Z_]*_(CONSTANTS|SAMPLES|SUBSTEPS|BYTES))$/;

/**
 * Every place of a source with a sign: binary + and -, += and -=, a prefix minus, and the emitter's `add`,
 * `subtract` and `negate`. Arithmetic on integers is left out: in element access, in the head of a loop, in texts,
 * in a value that is called an index or a length, and beside a name that counts.
 */
export function signMutations(source: string): SignMutation[] {
  const file = ts.createSourceFile('source.ts', source, ts.ScriptTarget.Latest, true);
  const found: SignMutation[] = [];
  const imported = importedFrom(file, EXPRESSIONS);
  const report = (start: number, end: number, after: string, appended = '') => {
    const { line, character } = file.getLineAndCharacterOfPosition(start);
    const context = source.split('\n')[line]!.trim();
    const before = source.slice(start, end);
    found.push({ line: line + 1, column: character + 1, start, end, before, after, appended, context });
  };
  const visit = (node: ts.Node): void => {
    if (isIntegerPlace(node) || ts.isTypeNode(node)) return;
    if (ts.isBinaryExpression(node)) {
      const after = SWAPPED_TOKENS.get(node.operatorToken.kind);
      if (after && !isInteger(node.left) && !isInteger(node.right) && !isText(node)) {
        report(node.operatorToken.getStart(), node.operatorToken.end, after);
      }
    } else if (ts.isPrefixUnaryExpression(node) && node.operator === ts.SyntaxKind.MinusToken) {
      if (!isSentinel(node)) report(node.getStart(), node.getStart() + 1, '');
    } else if (ts.isCallExpression(node) && ts.isIdentifier(node.expression)) {
      const name = node.expression.text;
      const swapped = SWAPPED_CALLS[name];
      const [start, end] = [node.expression.getStart(), node.expression.end];
      if (swapped && imported.names.has(name)) {
        const isThere = imported.names.has(swapped);
        report(start, end, swapped, isThere ? '' : `import { ${swapped} } from '${imported.source}';\n`);
      }
      if (name === 'negate' && imported.names.has(name)) report(start, end, '');
    }
    ts.forEachChild(node, visit);
  };
  visit(file);
  return found.sort((a, b) => a.start - b.start);
}

/** The source with one sign flipped. */
export function mutated(source: string, { start, end, after, appended }: SignMutation): string {
  return source.slice(0, start) + after + source.slice(end) + appended;
}

function importedFrom(file: ts.SourceFile, wanted: RegExp): { names: ReadonlySet<string>; source: string } {
  for (const statement of file.statements) {
    if (!ts.isImportDeclaration(statement) || !ts.isStringLiteral(statement.moduleSpecifier)) continue;
    const bindings = statement.importClause?.namedBindings;
    if (!wanted.test(statement.moduleSpecifier.text) || !bindings || !ts.isNamedImports(bindings)) continue;
    return {
      names: new Set(bindings.elements.map(({ name }) => name.text)),
      source: statement.moduleSpecifier.text,
    };
  }
  return { names: new Set(), source: '' };
}

/** The index of an element access or of `at`, a value assigned to a name that counts, and the head of a for loop. */
function isIntegerPlace(node: ts.Node): boolean {
  const { parent } = node;
  if (!parent) return false;
  if (ts.isElementAccessExpression(parent)) return parent.argumentExpression === node;
  if (ts.isPropertyAssignment(parent)) {
    return parent.initializer === node && INTEGER_NAME.test(parent.name.getText());
  }
  if (ts.isCallExpression(parent) && ts.isPropertyAccessExpression(parent.expression)) {
    return (
      parent.expression !== node && ['at', 'slice', 'splice', 'fill'].includes(parent.expression.name.text)
    );
  }
  return ts.isForStatement(parent) && parent.statement !== node;
}

function isInteger(node: ts.Expression): boolean {
  if (ts.isIdentifier(node) || ts.isPrivateIdentifier(node)) return INTEGER_NAME.test(node.text);
  if (ts.isPropertyAccessExpression(node)) return INTEGER_NAME.test(node.name.text.replace('#', ''));
  if (ts.isNonNullExpression(node) || ts.isParenthesizedExpression(node)) return isInteger(node.expression);
  if (ts.isElementAccessExpression(node)) {
    return isInteger(node.expression) || /(Of|Ports|Places|Index)$/i.test(nameOf(node.expression));
  }
  if (ts.isBinaryExpression(node) && node.operatorToken.kind !== ts.SyntaxKind.SlashToken) {
    return isInteger(node.left) || isInteger(node.right);
  }
  return false;
}

function nameOf(node: ts.Expression): string {
  if (ts.isPropertyAccessExpression(node)) return node.name.text;
  return ts.isIdentifier(node) ? node.text : '';
}

function isText(node: ts.Expression): boolean {
  if (ts.isBinaryExpression(node)) return isText(node.left) || isText(node.right);
  return ts.isStringLiteralLike(node) || ts.isTemplateExpression(node);
}

/** −1 with the meaning "none": in a comparison, as a default value, or as the value of a constant in capitals. */
function isSentinel({ operand, parent }: ts.PrefixUnaryExpression): boolean {
  if (!ts.isNumericLiteral(operand) || operand.text !== '1') return false;
  if (ts.isReturnStatement(parent)) return true;
  if (ts.isVariableDeclaration(parent)) return /^[A-Z_]+$/.test(parent.name.getText());
  if (ts.isConditionalExpression(parent)) {
    const other = parent.whenTrue === operand.parent ? parent.whenFalse : parent.whenTrue;
    return !(ts.isNumericLiteral(other) && other.text === '1');
  }
  if (!ts.isBinaryExpression(parent)) return false;
  return [
    ts.SyntaxKind.EqualsEqualsEqualsToken,
    ts.SyntaxKind.ExclamationEqualsEqualsToken,
    ts.SyntaxKind.QuestionQuestionToken,
  ].includes(parent.operatorToken.kind);
}
