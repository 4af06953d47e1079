import cascade1 from '../../presets/circuits/cascade.revision-1.json';
import cascade from '../../presets/circuits/cascade.stages.json';
import cleanBlend1 from '../../presets/circuits/clean-blend.revision-1.json';
import cleanBlend2 from '../../presets/circuits/clean-blend.revision-2.json';
import cleanBlend3 from '../../presets/circuits/clean-blend.revision-3.json';
import germaniumFuzz1 from '../../presets/circuits/germanium-fuzz.revision-1.json';
import hardClip1 from '../../presets/circuits/hard-clip.revision-1.json';
import hardClip from '../../presets/circuits/hard-clip.stages.json';
import softClip1 from '../../presets/circuits/soft-clip.revision-1.json';
import softClip2 from '../../presets/circuits/soft-clip.revision-2.json';
import threeBand1 from '../../presets/circuits/three-band.revision-1.json';
import threeBand from '../../presets/circuits/three-band.stages.json';
import trebleBooster1 from '../../presets/circuits/treble-booster.revision-1.json';
import { bundledCircuits, readCircuit } from './bundled-circuits.ts';
import type { Circuit } from './circuit.ts';
import { cleanBlend } from './clean-blend/clean-blend.ts';
import { germaniumFuzz, siliconFuzz } from './fuzz/fuzzes.ts';
import { jfetBooster } from './jfet-booster/jfet-booster.ts';
import { softClip } from './soft-clip/soft-clip.ts';
import { trebleBooster } from './treble-booster/treble-booster.ts';

/** Circuits that are lists of stages. A change of a stage changes the circuits that use it. */
const OF_STAGES = [hardClip, threeBand, cascade].map(readCircuit);

/**
 * The circuits that come with the bench. Each is kept as a document too, `presets/circuits/ID.revision-N.json`, which a
 * test holds against it. Whoever changes a circuit raises its revision, keeps the new document
 * (`cliplead circuit --print ID`) and imports the one before into the second list: builds of it sound as they did. Builds move
 * to a revision with other words and drawing alone (see `isSameButWords`) by themselves; any other one is offered to them.
 */
export const BUNDLED = bundledCircuits(
  [softClip, cleanBlend, ...OF_STAGES, jfetBooster, trebleBooster, siliconFuzz, germaniumFuzz],
  [
    softClip1,
    softClip2,
    cleanBlend1,
    cleanBlend2,
    cleanBlend3,
    hardClip1,
    threeBand1,
    cascade1,
    trebleBooster1,
    germaniumFuzz1,
  ],
);

/**
 * Those of the newest revision, by id. Only the reading of files and the menus use this list: a build carries its
 * circuit.
 */
export const CIRCUITS: ReadonlyMap<string, Circuit> = BUNDLED.newest;
