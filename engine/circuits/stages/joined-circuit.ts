import { bufferedBypassStage } from '../buffered-bypass.ts';
import type { BypassKind, Circuit, Stage } from '../circuit.ts';
import type { CircuitProblem } from '../circuit-problem.ts';
import { withoutPorts } from '../fitted-circuit.ts';
import { footswitchInStage, footswitchOutStage } from '../footswitch.ts';
import { Designators, lowerFirst } from './designators.ts';
import { freeName, netNames, renamedFigure, renamedStage, type StageNames } from './joined-names.ts';
import type { StageDocument, StageList, StageUse } from './stage-document.ts';
import { usedStage, wantedName } from './stage-use.ts';

export type StageLibrary = ReadonlyMap<string, StageDocument>;

/** A circuit of stages, or what is wrong with the list. The circuit itself is still to be checked. */
export type JoinedCircuit =
  | {
      readonly circuit: Circuit;
      /** Index in the list of each stage of the circuit; -1 for those of the footswitch. */
      readonly indexOfStage: readonly number[];
      /** Designators in the circuit by those of its document, for each stage of the list. */
      readonly refsOfStage: readonly ReadonlyMap<string, string>[];
      readonly problems?: undefined;
    }
  | { readonly circuit?: undefined; readonly problems: readonly CircuitProblem[] };

/** The port by which a buffered bypass and a blend take the signal from ahead of the gain. */
const CLEAN_PORT = 'clean';
const FIXED_PORTS = ['in', 'out', 'ground'];
const FOOTSWITCHES: Readonly<Record<BypassKind, readonly string[]>> = {
  true: ['S1A', 'S1B'],
  buffered: ['S2'],
  'transistor-switched': [],
};
/** The name that a buffered bypass gives the output of the last stage. */
const EFFECT_NET = 'effect output';
/** Nets that the stages of the footswitch name. */
const FOOTSWITCH_NETS = ['direct', EFFECT_NET, 'bypass output', '0'];

interface Placed {
  readonly id: string;
  readonly title: string;
  readonly stage: StageDocument;
  readonly names: StageNames;
}

/**
 * Makes a circuit of a list of stages: designators in the order of the signal, ports joined, names without clashes,
 * controls, figures and groups collected. Rails are the ports of stages that are not in the signal's path. The footswitch is
 * added at both ends.
 */
export function joinedCircuit(list: StageList, library: StageLibrary): JoinedCircuit {
  const unknown = list.stages.flatMap((use, index) => unknownStage(use, index, library));
  if (unknown.length > 0) return { problems: unknown };
  const used = list.stages.map((use, index) => usedStage(library.get(use.stage)!, use, `stages[${index}]`));
  const kinds = list.bypass ?? ['true'];
  const stages = withOffers(
    used.map(({ stage }) => stage),
    kinds.includes('buffered'),
  );
  const problems = [...used.flatMap((each) => each.problems), ...lacks(stages, kinds)];
  if (problems.length > 0) return { problems };
  const designators = new Designators();
  const placed = placedStages(list, stages, designators);
  const supplies = placed.filter(({ stage }) => !isInPath(stage));
  const circuit: Circuit = {
    id: list.id,
    revision: list.revision,
    title: list.title,
    stages: withBypass(placed, kinds),
    packages: designators.packages(),
    ...collected(placed),
    rails: [...new Set(supplies.flatMap(({ stage }) => sharedPorts(stage)))],
    bypass: { kinds, footswitch: kinds.flatMap((kind) => FOOTSWITCHES[kind]) },
  };
  const indexOfStage = circuit.stages.map(({ id }) => placed.findIndex((each) => each.id === id));
  return { circuit, indexOfStage, refsOfStage: placed.map(({ names }) => names.refs) };
}

const givesClean = ({ ports, offers }: StageDocument): boolean =>
  CLEAN_PORT in ports && (offers?.includes(CLEAN_PORT) ?? false);
const takesClean = (stage: StageDocument): boolean => CLEAN_PORT in stage.ports && !givesClean(stage);
const isInPath = ({ ports }: Stage): boolean => 'in' in ports;
const sharedPorts = ({ ports }: Stage): readonly string[] =>
  Object.keys(ports).filter((port) => !FIXED_PORTS.includes(port));

function unknownStage({ stage }: StageUse, index: number, library: StageLibrary): readonly CircuitProblem[] {
  if (library.has(stage)) return [];
  const ids = [...library.keys()];
  return [
    {
      code: 'unknown-stage',
      place: `stages[${index}].stage`,
      problem: `There is no stage "${stage}".`,
      remedy: `Name one of ${ids.join(', ')}.`,
    },
  ];
}

/**
 * Stages without the ports that they offer and nobody takes. Of several that offer one port the first gives it.
 *
 * @param isTaken Whether a buffered bypass takes the clean signal.
 */
function withOffers(stages: readonly StageDocument[], isTaken: boolean): readonly StageDocument[] {
  const doesOffer = (stage: StageDocument, port: string) => stage.offers?.includes(port) ?? false;
  const needed = new Set([
    ...stages.flatMap((stage) => sharedPorts(stage).filter((port) => !doesOffer(stage, port))),
    ...(isTaken ? [CLEAN_PORT] : []),
  ]);
  return stages.map((stage, index) => {
    const gone = (stage.offers ?? []).filter(
      (port) => !needed.has(port) || stages.findIndex((other) => doesOffer(other, port)) < index,
    );
    return gone.length === 0 ? stage : withoutPorts(stage, (port) => gone.includes(port));
  });
}

/** What a list of stages lacks to be a pedal. */
function lacks(stages: readonly StageDocument[], kinds: readonly BypassKind[]): readonly CircuitProblem[] {
  const supplies = stages
    .flatMap(({ parts }) => Object.values(parts))
    .filter(({ kind }) => kind === 'supply');
  const lacking = (code: string, problem: string, remedy: string) => ({
    code,
    place: 'stages',
    problem,
    remedy,
  });
  return [
    ...stages.flatMap((stage, index) => lacksClean(stages, stage, index)),
    ...(stages.some(({ level }) => level !== undefined)
      ? []
      : [lacking('no-level', 'No stage sets the level.', 'Add a stage of the group "level".')]),
    ...(stages.some(({ clipping }) => clipping)
      ? []
      : [
          lacking(
            'no-clipping-net',
            'No stage amplifies or clips.',
            'Add a buffer, a booster or a clipping stage.',
          ),
        ]),
    ...(supplies.length === 1
      ? []
      : [
          lacking(
            supplies.length === 0 ? 'no-supply' : 'two-supplies',
            `The stages have ${supplies.length} supplies.`,
            'List one stage with a battery: "filtered-supply" or "protected-supply".',
          ),
        ]),
    ...(!kinds.includes('buffered') || stages.some(givesClean)
      ? []
      : [
          {
            ...lacking(
              'bypass-without-buffer',
              'A buffered bypass needs a buffer.',
              'Add a stage of the group "buffers".',
            ),
            place: 'bypass',
          },
        ]),
  ];
}

/** A blend takes the clean signal from ahead of it: from behind it the signal would go round. */
function lacksClean(
  stages: readonly StageDocument[],
  stage: StageDocument,
  index: number,
): readonly CircuitProblem[] {
  if (!takesClean(stage) || stages.slice(0, index).some(givesClean)) return [];
  return [
    {
      code: 'no-clean-signal',
      place: `stages[${index}]`,
      problem: `No stage before ${stage.id} gives it the clean signal.`,
      remedy: 'Add a stage of the group "buffers" before it.',
    },
  ];
}

/** The stages under their new names, each name once. */
function placedStages(
  list: StageList,
  stages: readonly StageDocument[],
  designators: Designators,
): readonly Placed[] {
  const ids = new Set(['footswitch-in', 'footswitch-out', 'buffered-bypass']);
  const titles = new Set<string>();
  const controls = new Set<string>();
  const nets = new Set([...FOOTSWITCH_NETS, ...FIXED_PORTS, ...stages.flatMap(sharedPorts)]);
  const last = stages.indexOf(stages.filter(isInPath).at(-1)!);
  const output = list.bypass?.includes('buffered') ? EFFECT_NET : undefined;
  return stages.map((stage, index) => {
    const use = list.stages[index]!;
    const named = [...stage.knobs, ...stage.switches].map(
      ({ name }) => [name, freeName(controls, wantedName(use, name))] as const,
    );
    return {
      id: freeName(ids, stage.id, '-'),
      title: freeName(titles, stage.title),
      stage,
      names: {
        refs: designators.ofStage(stage),
        nets: netNames(stage, nets, index === last ? output : undefined),
        controls: new Map(named),
      },
    };
  });
}

/** The path between the poles of the footswitch, and the supplies after it. */
function withBypass(placed: readonly Placed[], kinds: readonly BypassKind[]): readonly Stage[] {
  const isTrue = kinds.includes('true');
  return [
    ...(isTrue ? [footswitchInStage] : []),
    ...placed.filter(({ stage }) => isInPath(stage)).map(stageOf),
    ...(kinds.includes('buffered') ? [bufferedBypassStage(CLEAN_PORT)] : []),
    ...(isTrue ? [footswitchOutStage] : []),
    ...placed.filter(({ stage }) => !isInPath(stage)).map(stageOf),
  ];
}

const stageOf = ({ id, title, stage, names }: Placed): Stage => ({
  id,
  title,
  ...renamedStage(stage, names),
});

/** Controls, figures and groups of all stages; the last level knob and the last clipping net are those of the pedal. */
function collected(
  placed: readonly Placed[],
): Pick<Circuit, 'knobs' | 'switches' | 'clippingNet' | 'clippingDiodes' | 'roles' | 'figures' | 'groups'> {
  const repeated = repeatedNames(placed.flatMap(({ stage }) => stage.figures.map(({ name }) => name)));
  const groupNames = new Set<string>();
  const refOf =
    ({ names }: Placed) =>
    (ref: string) =>
      names.refs.get(ref) ?? ref;
  const nameOf = ({ names }: Placed, name: string) => names.controls.get(name) ?? name;
  const clips = placed.filter(({ stage }) => stage.clipping);
  const clip = clips.filter(({ stage }) => stage.clipping!.diodes.length > 0).at(-1) ?? clips.at(-1)!;
  const { net, diodes } = clip.stage.clipping!;
  const leveller = placed.filter(({ stage }) => stage.level !== undefined).at(-1)!;
  return {
    knobs: placed.flatMap((each) =>
      each.stage.knobs.map(({ ref, name, start, gang }) => ({
        ref: refOf(each)(ref),
        name: nameOf(each, name),
        start,
        ...(gang && {
          gang: { ...gang, knob: nameOf(each, gang.knob), switch: nameOf(each, gang.switch) },
        }),
      })),
    ),
    switches: placed.flatMap((each) =>
      each.stage.switches.map((control) => ({
        ...control,
        ref: refOf(each)(control.ref),
        name: nameOf(each, control.name),
      })),
    ),
    clippingNet: clip.names.nets.get(net) ?? net,
    clippingDiodes: diodes.map(refOf(clip)),
    roles: {
      level: nameOf(leveller, leveller.stage.level!),
      supply: placed.flatMap((each) => supplyRefs(each).map(refOf(each)))[0]!,
    },
    figures: placed.flatMap((each) =>
      each.stage.figures.map((figure) => ({
        ...renamedFigure(figure, each.names),
        name: repeated.has(figure.name) ? `${figure.name} (${lowerFirst(each.title)})` : figure.name,
      })),
    ),
    groups: placed.flatMap((each) =>
      (each.stage.groups ?? []).map((group) => ({
        ...group,
        name: freeName(groupNames, group.name),
        parts: group.parts.map(refOf(each)),
      })),
    ),
  };
}

const supplyRefs = ({ stage }: Placed): readonly string[] =>
  Object.entries(stage.parts).flatMap(([ref, { kind }]) => (kind === 'supply' ? [ref] : []));

const repeatedNames = (names: readonly string[]): ReadonlySet<string> =>
  new Set(names.filter((name, index) => names.indexOf(name) < index));
