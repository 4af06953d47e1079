import { existsSync, readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';

/** The limit of words, so that a contributor can read the guide in one sitting. */
export const MOST_GUIDE_WORDS = 1500;

const FOLDERS = ['engine', 'worklets', 'ui', 'presets', 'tests'];
/** A file by its name, or a path that begins at the project or in an engine folder. */
const FILE_NAME = /(?<![\w./-])[\w.-]+(?:\/[\w.-]+)*[.](?:ts|mjs|cjs|py|json|md|html|css)(?![\w-])/g;
const FOLDER_NAME =
  /(?<![\w./-])(?:[.]ci|engine|worklets|ui|presets|tests)(?:\/[\w.-]+)*\/?(?=[`\s,.;:)]|$)/g;
const CODE = /```[\s\S]*?```|`[^`]+`/g;
/** Names that mean many files, or a file that the reader makes. */
const PLACEHOLDERS = /^(?:NOTES[.]md|(?:out|a|b|DIFFERENCE)[.]wav)$|\b(?:NAME|FILE)\b/;

/**
 * The problems of a document of this project: paths and npm scripts in code marks or links that do
 * not exist.
 *
 * @param {string} text Markdown.
 * @param {string} place Path of the document, from the project's folder.
 * @param {string} project Absolute path.
 * @returns {string[]} Sentences.
 */
export function documentProblems(text, place, project) {
  const code = (text.match(CODE) ?? []).join('\n');
  const links = [...text.matchAll(/\]\(([^)#:]+)\)/g)].map(([, link]) => /** @type {string} */ (link));
  const files = [...(code.match(FILE_NAME) ?? []), ...(code.match(FOLDER_NAME) ?? []), ...links];
  const missing = files.filter((file) => !PLACEHOLDERS.test(file) && !isThere(file, place, project));
  const { scripts } = JSON.parse(readFileSync(path.join(project, 'package.json'), 'utf8'));
  const named = [...text.matchAll(/npm run ([\w:-]+)/g)].map(([, name]) => /** @type {string} */ (name));
  const unknown = named.filter((name) => !Object.hasOwn(scripts, name));
  return [
    ...new Set(missing.map((file) => `${place} names ${file}, which does not exist.`)),
    ...new Set(unknown.map((name) => `${place} names npm run ${name}, which is no script.`)),
  ];
}

/** @param {string} text Its words are counted as `wc -w` does. */
export function guideProblems(text) {
  const words = text.split(/\s+/).filter((word) => word !== '').length;
  if (words <= MOST_GUIDE_WORDS) return [];
  return [`DEVELOPERS.md has ${words} words; ${MOST_GUIDE_WORDS} are the most. Move details to a NOTES.md.`];
}

/**
 * @param {string} file
 * @param {string} place
 * @param {string} project
 */
function isThere(file, place, project) {
  const folder = path.dirname(path.join(project, place));
  const roots = [project, folder, path.dirname(folder), path.join(project, 'engine')];
  return roots.some((root) => existsSync(path.join(root, file)));
}

/**
 * The documents of this project, as paths from its folder.
 *
 * @param {string} project
 */
export function documents(project) {
  const notes = FOLDERS.flatMap((folder) =>
    readdirSync(path.join(project, folder), { recursive: true, encoding: 'utf8' })
      .map((file) => `${folder}/${file.replaceAll(path.sep, '/')}`)
      .filter((file) => file.endsWith('.md')),
  );
  return ['README.md', 'DEVELOPERS.md', ...notes];
}
