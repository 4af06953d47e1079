import { readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { documentProblems, documents, guideProblems } from './document-check.mjs';

/** Checks the documents: the files that they name must exist, and the guide must stay short. */
const PROJECT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');

const places = documents(PROJECT);
const textOf = (/** @type {string} */ place) => readFileSync(path.join(PROJECT, place), 'utf8');
const problems = [
  ...places.flatMap((place) => documentProblems(textOf(place), place, PROJECT)),
  ...guideProblems(textOf('DEVELOPERS.md')),
];
for (const problem of problems) console.error(problem);
console.log(`${problems.length} problems in ${places.length} documents`);
if (problems.length > 0) process.exitCode = 1;
