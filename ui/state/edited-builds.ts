import type { Build } from '../../engine/builds/build.ts';
import { withTitle } from '../../engine/builds/build-title.ts';
import { withSettings } from '../../engine/builds/part-groups.ts';
import { piecesIn, piecesOf, withPieces } from '../../engine/builds/pieces.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Action, BenchState, Builds } from './bench-state.ts';
import { withControl } from './linked-controls.ts';

/** The builds after an edit; the same object if the action is not an edit. */
export function editedBuilds({ builds, isLinked }: BenchState, action: Action): Builds {
  switch (action.type) {
    case 'setPart':
      return withBuild(builds, action.slot, withParts(builds[action.slot], action));
    case 'turnKnob':
      return withControl(builds, action, isLinked && !action.isAlone);
    case 'throwSwitch':
      return withControl(builds, action, isLinked);
    case 'setBypass':
      return edit(builds, action.slot, () => ({ bypass: action.bypass }));
    case 'load':
      // What the builder has measured stays on the list.
      return withBuild(builds, action.slot, withPieces(action.build, piecesOf(builds[action.slot])));
    case 'rename':
      return withBuild(builds, action.slot, withTitle(builds[action.slot], action.title));
    default:
      return builds;
  }
}

/** A build with other parts. It keeps the pieces among them, so that they stay on its list when they are swapped out. */
function withParts(build: Build, { ref, setting, others }: Extract<Action, { type: 'setPart' }>): Build {
  const changed = withSettings(build, { ...others, [ref]: setting });
  return withPieces(changed, [setting, ...Object.values(others ?? {})].flatMap(piecesIn));
}

/** The same object where the build is already there. */
function withBuild(builds: Builds, slot: Slot, build: Build): Builds {
  return builds[slot] === build ? builds : { ...builds, [slot]: build };
}

function edit(builds: Builds, slot: Slot, change: (build: Build) => Partial<Build>): Builds {
  return { ...builds, [slot]: { ...builds[slot], ...change(builds[slot]) } };
}
