import { readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { documentProblems, documents, guideProblems } from './document-check.mjs';

/** Holds the documents against the project: what they name has to exist, and the guide has to stay short. */
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
