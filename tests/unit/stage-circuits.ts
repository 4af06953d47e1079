/**
 * Circuits as lists of stages, which stand nowhere else. With the bundled ones they use every stage; `levels` uses stages
 * twice, so that names clash.
 */
export const STAGE_CIRCUITS = {
  blended: {
    format: 'cliplead-circuit',
    version: 1,
    id: 'blended',
    revision: 1,
    title: 'Clean and clipped',
    stages: [
      { stage: 'jfet-follower' },
      { stage: 'op-amp-boost' },
      { stage: 'diodes-to-ground', parts: { D1: '1N34A', D2: '1N34A', R1: '1k' } },
      { stage: 'clean-and-clipped' },
      { stage: 'active-shelf' },
      { stage: 'level' },
      { stage: 'filtered-supply' },
      { stage: 'buffered-bias' },
    ],
    bypass: ['true', 'buffered'],
  },
  boosted: {
    format: 'cliplead-circuit',
    version: 1,
    id: 'boosted',
    revision: 1,
    title: 'A JFET ahead of a level',
    stages: [{ stage: 'common-source' }, { stage: 'level' }, { stage: 'filtered-supply' }],
  },
  levels: {
    format: 'cliplead-circuit',
    version: 1,
    id: 'levels',
    revision: 1,
    title: 'A pair between levels',
    stages: [
      { stage: 'emitter-follower' },
      { stage: 'level' },
      { stage: 'transistor-pair' },
      { stage: 'one-knob-low-pass' },
      { stage: 'emitter-follower', title: 'Output buffer' },
      { stage: 'level', knobs: { level: { name: 'output', start: 0.4 } } },
      { stage: 'filtered-supply' },
      { stage: 'divided-bias' },
    ],
  },
} as const;
