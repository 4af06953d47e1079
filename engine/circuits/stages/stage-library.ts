import cleanAndClipped from '../../../presets/stages/blend/clean-and-clipped.json';
import commonEmitter from '../../../presets/stages/boosters/common-emitter.json';
import commonSource from '../../../presets/stages/boosters/common-source.json';
import opAmpBoost from '../../../presets/stages/boosters/op-amp-boost.json';
import opAmpRecovery from '../../../presets/stages/boosters/op-amp-recovery.json';
import emitterFollower from '../../../presets/stages/buffers/emitter-follower.json';
import jfetFollower from '../../../presets/stages/buffers/jfet-follower.json';
import opAmpBuffer from '../../../presets/stages/buffers/op-amp-buffer.json';
import diodesToGround from '../../../presets/stages/clipping/diodes-to-ground.json';
import feedbackPair from '../../../presets/stages/clipping/feedback-pair.json';
import transistorClipper from '../../../presets/stages/clipping/transistor-clipper.json';
import transistorPair from '../../../presets/stages/clipping/transistor-pair.json';
import level from '../../../presets/stages/level/level.json';
import bufferedBias from '../../../presets/stages/supply/buffered-bias.json';
import dividedBias from '../../../presets/stages/supply/divided-bias.json';
import filteredSupply from '../../../presets/stages/supply/filtered-supply.json';
import protectedSupply from '../../../presets/stages/supply/protected-supply.json';
import activeShelf from '../../../presets/stages/tone/active-shelf.json';
import balance from '../../../presets/stages/tone/balance.json';
import oneKnobLowPass from '../../../presets/stages/tone/one-knob-low-pass.json';
import threeBand from '../../../presets/stages/tone/three-band.json';
import type { StageDocument } from './stage-document.ts';
import { parseStage } from './stage-file.ts';

/** Documents of the stages, in the order of their list. */
const DOCUMENTS: readonly unknown[] = [
  emitterFollower,
  jfetFollower,
  opAmpBuffer,
  commonEmitter,
  commonSource,
  opAmpBoost,
  opAmpRecovery,
  diodesToGround,
  feedbackPair,
  transistorClipper,
  transistorPair,
  activeShelf,
  balance,
  oneKnobLowPass,
  threeBand,
  cleanAndClipped,
  level,
  bufferedBias,
  dividedBias,
  filteredSupply,
  protectedSupply,
];

/** The stages that circuits are made of, by id. @throws RangeError for a document that is no stage. */
export const STAGES: ReadonlyMap<string, StageDocument> = new Map(
  DOCUMENTS.map((document) => {
    const { stage, problems } = parseStage(document);
    if (stage) return [stage.id, stage] as const;
    const [{ place, problem, remedy } = { place: '', problem: '', remedy: '' }] = problems;
    throw new RangeError(`A stage of the bench, ${place}: ${problem} ${remedy}`);
  }),
);
