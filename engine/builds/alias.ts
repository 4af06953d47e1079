import { inLine, quoted } from '../input/shown-text.ts';
import { type Build, buildParts } from './build.ts';
import { BuildError } from './build-error.ts';

/** Longest designator on a board. */
const MAX_CHARACTERS = 8;

/** A part's name in lists: its designator, and the builder's own name for it, as on their board. */
export function refText({ aliases }: Pick<Build, 'aliases'>, ref: string): string {
  const alias = aliases?.[ref];
  return alias === undefined ? ref : `${ref} (${alias})`;
}

/**
 * The build with the builder's own name for a part; an empty text removes that name.
 *
 * @throws BuildError for a name that is too long or already another part's.
 */
export function withAlias(build: Build, ref: string, text: string): Build {
  const alias = text.trim();
  const { [ref]: _, ...others } = build.aliases ?? {};
  if (alias === '') return withAliases(build, others);
  const problem = aliasProblem(build, ref, alias);
  if (problem !== undefined)
    throw new BuildError([{ code: 'bad-name', path: `aliases.${ref}`, message: problem }]);
  return withAliases(build, { ...others, [ref]: alias });
}

/** What is wrong with a name for a part; undefined if nothing is. */
export function aliasProblem(build: Build, ref: string, alias: unknown): string | undefined {
  if (!buildParts(build.circuit).some((part) => part.ref === ref))
    return `There is no part ${inLine(ref, MAX_CHARACTERS)}.`;
  if (typeof alias !== 'string' || alias.trim() === '' || alias.length > MAX_CHARACTERS) {
    const called = typeof alias === 'string' ? quoted(alias) : 'a value that is not text';
    return `${ref} cannot be called ${called}: a name has 1 to ${MAX_CHARACTERS} characters.`;
  }
  const other = Object.entries(build.aliases ?? {}).find(([owner, text]) => owner !== ref && text === alias);
  return other && `${ref} cannot be called ${quoted(alias)}: ${other[0]} has that name already.`;
}

/** A build without names has no such field, so that equal builds are equal. */
export function withAliases(build: Build, aliases: Readonly<Record<string, string>>): Build {
  const { aliases: _, ...plain } = build;
  return Object.keys(aliases).length === 0 ? plain : { ...plain, aliases };
}
