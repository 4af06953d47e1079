import { createRequire } from 'node:module';
import { cruise } from 'dependency-cruiser';
import extractTsConfig from 'dependency-cruiser/config-utl/extract-ts-config';

const { forbidden, options } = createRequire(import.meta.url)('../.dependency-cruiser.cjs');

/**
 * Checks the imports of a project with the rules of .dependency-cruiser.cjs.
 *
 * @param {string} project Absolute path.
 * @param {readonly string[]} folders The project's folders to check.
 * @returns {Promise<{ violations: string[], modules: string[] }>} Imports that a rule refuses, and every module that
 * was found.
 */
export async function checkImports(project, folders) {
  const { output } = await cruise(
    [...folders],
    { ...options, baseDir: project, ruleSet: { forbidden }, validate: true, outputType: 'json' },
    options.enhancedResolveOptions,
    { tsConfig: extractTsConfig(options.tsConfig.fileName) },
  );
  if (typeof output !== 'string') throw new TypeError('dependency-cruiser gave no report');
  /** @type {import('dependency-cruiser').ICruiseResult} */
  const report = JSON.parse(output);
  return {
    violations: report.summary.violations.map(({ rule, from, to }) => `${rule.name}: ${from} -> ${to}`),
    modules: report.modules.map(({ source }) => source),
  };
}
