import { type Build, startingBuild } from '../engine/builds/build.ts';
import { bufferedBypassStage } from '../engine/circuits/buffered-bypass.ts';
import type { BypassKind, Circuit, Stage } from '../engine/circuits/circuit.ts';
import { cleanBlend } from '../engine/circuits/clean-blend/clean-blend.ts';
import { footswitchInStage, footswitchOutStage } from '../engine/circuits/footswitch.ts';
import { softClip } from '../engine/circuits/soft-clip/soft-clip.ts';
import { transistorBypassStage } from '../engine/circuits/transistor-bypass.ts';

/** Soft clip with its bypass as parts. */
export const softWithBypass: Circuit = {
  ...softClip,
  stages: [
    footswitchInStage,
    ...softClip.stages.flatMap((stage) => {
      if (stage.id === 'input') return [withBufferedPort(stage)];
      if (stage.id === 'output')
        return [transistorBypassStage, stage, bufferedBypassStage('buffered'), footswitchOutStage];
      return [stage];
    }),
  ],
  bypass: { kinds: softClip.bypass.kinds, footswitch: ['S1A', 'S1B', 'S2', 'S3'] },
  groups: [
    ...(softClip.groups ?? []),
    { name: 'bypass transistors', parts: ['Q101', 'Q102'], isUsual: true },
  ],
};

/** Clean blend with its bypass as parts. */
export const cleanWithBypass: Circuit = {
  ...cleanBlend,
  stages: [
    footswitchInStage,
    ...cleanBlend.stages.flatMap((stage) =>
      stage.id === 'output' ? [stage, bufferedBypassStage('clean'), footswitchOutStage] : [stage],
    ),
  ],
  bypass: { kinds: cleanBlend.bypass.kinds, footswitch: ['S1A', 'S1B', 'S2'] },
};

/** A build with a kind of bypass, and some other parts. */
export function bypassBuild(bypass: BypassKind, parts: Build['parts'] = {}, circuit = softWithBypass): Build {
  const start = startingBuild(circuit);
  return { ...start, bypass, parts: { ...start.parts, ...parts } };
}

function withBufferedPort(stage: Stage): Stage {
  return {
    ...stage,
    ports: { ...stage.ports, out: [34, 10], buffered: [32, 8, 'up'] },
    wires: stage.wires.map((wire) =>
      'pins' in wire && wire.name === 'buffered' ? { ...wire, pins: [...wire.pins, 'buffered'] } : wire,
    ),
  };
}
