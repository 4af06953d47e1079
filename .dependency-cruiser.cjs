/** Folders of the engine: each may import those before it. The guide, DEVELOPERS.md, states the same order. */
const ENGINE_ORDER = [
  'input',
  'units',
  'audio',
  'devices',
  'network',
  'solver',
  'parts',
  'circuits',
  'drawing',
  'builds',
  'analysis',
  'wiring',
  'sheet',
  'cli',
];

const orderRules = ENGINE_ORDER.slice(0, -1).map((folder, place) => ({
  name: `engine-order-${folder}`,
  comment: `engine/${folder}/ imports only what comes before it in the order of the engine's folders.`,
  severity: 'error',
  from: { path: `^engine/${folder}/` },
  to: { path: `^engine/(${ENGINE_ORDER.slice(place + 1).join('|')})/` },
}));

/**
 * The layers, one direction only: presets <- engine <- worklets <- ui.
 *
 * @type {import('dependency-cruiser').IConfiguration}
 */
module.exports = {
  engineOrder: ENGINE_ORDER,
  forbidden: [
    {
      name: 'no-cycle',
      comment: 'Modules that import each other can only be understood, tested and initialised together.',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
    {
      name: 'resolvable',
      comment: 'What is imported exists.',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true },
    },
    {
      name: 'presets-are-data',
      comment: 'presets/ imports nothing.',
      severity: 'error',
      from: { path: '^presets/' },
      to: {},
    },
    {
      name: 'engine-knows-no-page',
      comment: 'engine/ is arithmetic: it imports neither the audio thread nor the page.',
      severity: 'error',
      from: { path: '^engine/' },
      to: { path: '^(worklets|ui|tests)/' },
    },
    ...orderRules,
    {
      name: 'engine-folder-has-a-place',
      comment: 'Every folder of the engine has a place in its order.',
      severity: 'error',
      from: {},
      to: { path: `^engine/(?!(${ENGINE_ORDER.join('|')})/)` },
    },
    {
      name: 'devices-know-devices-only',
      comment: 'A device is written without knowing networks, parts or the solver.',
      severity: 'error',
      from: { path: '^engine/devices/' },
      to: { path: '^engine/(?!devices/)' },
    },
    {
      name: 'engine-is-self-contained',
      comment: 'engine/ runs anywhere: no node modules and no packages, except in its command line.',
      severity: 'error',
      from: { path: '^engine/', pathNot: '^engine/cli/' },
      to: { dependencyTypes: ['core', 'npm', 'npm-dev', 'npm-optional', 'npm-peer', 'npm-no-pkg'] },
    },
    {
      name: 'command-line-is-an-edge',
      comment: 'Nothing builds on the command line.',
      severity: 'error',
      from: { pathNot: '^(engine/cli|tests)/' },
      to: { path: '^engine/cli/' },
    },
    {
      name: 'worklets-know-engine-only',
      comment: 'worklets/ imports the engine and its own messages.',
      severity: 'error',
      from: { path: '^worklets/', pathNot: '^worklets/vite-plugin-worklet[.]ts$' },
      to: { pathNot: '^(worklets|engine|presets)/' },
    },
    {
      name: 'product-needs-no-tools',
      comment: 'What is shipped imports no test and no development dependency.',
      severity: 'error',
      from: {
        path: '^(engine|worklets|ui)/',
        pathNot: '^(ui/[^/]+[.]mjs|worklets/vite-plugin-worklet[.]ts)$',
      },
      to: { path: '^tests/|node_modules/', dependencyTypesNot: ['npm', 'type-only', 'core'] },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    // Type-only imports are arrows between layers too.
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.ui.json' },
    enhancedResolveOptions: {
      extensions: ['.ts', '.mjs', '.js', '.json'],
      exportsFields: ['exports'],
      conditionNames: ['import', 'node', 'default', 'types'],
    },
  },
};
