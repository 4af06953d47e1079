import type { Build } from '../builds/build.ts';
import { type Chain, type ChainPedal, MOST_PEDALS, placeIn, USUAL_PATCH_METRES } from '../builds/chain.ts';
import { parseChainFile } from '../builds/chain-file.ts';
import { probedNode } from '../builds/probe-nets.ts';
import { Refusal } from '../input/refusal.ts';
import type { Network } from '../network/network.ts';
import { CliError } from './cli-error.ts';
import {
  named,
  numberIn,
  type Options,
  readText,
  sayNewer,
  setPart,
  throwSwitch,
  turnKnob,
  withPieceOf,
} from './options.ts';
import { chainPresetNames, presetNames, presetText } from './preset-files.ts';

/**
 * The pedals that --build and --then name, with their swaps made and what is off switched off. A lone pedal is a chain of one.
 *
 * @throws CliError, BuildError naming the part and the value.
 */
export function readChain(options: Options): Chain {
  const { build, then = [] } = options;
  if (build === undefined) {
    const names = [...presetNames(), ...chainPresetNames()].join(', ');
    throw new CliError(`--build is missing: give a file, or one of ${names}.`);
  }
  const pedals = [...pedalsOf([build, ...then], 'then', options)];
  const change = (option: 'set' | 'knob' | 'switch', make: (build: Build, entry: string) => Build) => {
    for (const entry of options[option] ?? []) {
      const { position, text } = pedalOf(`--${option} ${named(entry)}`, entry, pedals.length);
      const changed = () => make(pedals[position]!.build, text);
      const build = pedals.length === 1 ? changed() : ofPedal(position, changed);
      pedals[position] = { ...pedals[position]!, build };
    }
  };
  for (const path of options.piece ?? [])
    for (const [index, pedal] of pedals.entries())
      pedals[index] = { ...pedal, build: withPieceOf(pedal.build, path) };
  change('set', setPart);
  change('knob', turnKnob);
  change('switch', throwSwitch);
  return {
    pedals: pedals.map((pedal, index) => ({ ...pedal, isOn: pedal.isOn && !isOff(options, index, pedals) })),
  };
}

/** The pedals of --against and --against-then, without changes. @throws CliError, BuildError. */
export function readOther(options: Options): Chain | undefined {
  const { against, 'against-then': then = [] } = options;
  if (against !== undefined) {
    const pedals = pedalsOf([against, ...then], 'against-then', options);
    return { pedals: pedals.map((pedal) => ({ ...pedal, isOn: pedal.isOn && options.bypassed !== true })) };
  }
  if (then.length > 0)
    throw new CliError('--against-then follows a pedal: name the first one with --against.');
  return undefined;
}

/** The files of both chains, which an output must not replace. */
export function chainFiles({ build, then = [], against, 'against-then': after = [] }: Options) {
  const numbered = (name: string, paths: readonly string[]) =>
    paths.map((path, index) => [index === 0 ? name : `${name} ${index + 1}`, path] as const);
  return {
    build,
    against,
    ...Object.fromEntries([...numbered('then', then), ...numbered('against-then', after)]),
  };
}

/** A change to a pedal of a chain, whose refusal names the pedal. @throws CliError. */
function ofPedal(position: number, change: () => Build): Build {
  try {
    return change();
  } catch (thrown) {
    if (thrown instanceof Refusal) throw new CliError(`Pedal ${position + 1}: ${thrown.message}`);
    throw thrown;
  }
}

/** A text with the pedal that it is for: "2:R4=10k"; without a number it is for the first. @throws CliError. */
export function pedalOf(
  what: string,
  entry: string,
  count: number,
): { readonly position: number; readonly text: string } {
  const [, number, text] = /^([0-9]+):(.*)$/s.exec(entry) ?? [];
  if (number === undefined) return { position: 0, text: entry };
  const position = Number(number) - 1;
  if (position < 0 || position >= count) throw new CliError(`${what}: ${thereIsNo(number, count)}`);
  return { position, text: text! };
}

/**
 * The node of --net: a net of a pedal, such as "2:clipped", or of what is around the chain, such as "guitar:hot". The output by
 * default. @throws CliError where it carries no current.
 */
export function netOf({ net }: Options, chain: Chain, network: Network): string {
  if (net === undefined) return network.output;
  const { pedals } = chain;
  const { position, text } = pedalOf(`--net ${named(net)}`, net, pedals.length);
  const node = probedNode(pedals[position]!.build, network, text, placeIn(chain, position));
  const isNode = network.primitives.some(({ nodes }) => (nodes as readonly string[]).includes(net));
  const found = node ?? (isNode ? net : undefined);
  if (found === undefined)
    throw new CliError(`--net ${named(net)}: there is no net of that name that carries current.`);
  return found;
}

/** "2: " before what is of the second pedal of a chain; nothing before what is of a lone one. */
export function pedalPrefix({ pedals }: Chain, position: number): string {
  return pedals.length === 1 ? '' : `${position + 1}: `;
}

function pedalsOf(
  names: readonly string[],
  option: 'then' | 'against-then',
  options: Options,
): readonly ChainPedal[] {
  const cables = cablesOf(options);
  const loaded = names.map(loadPedals);
  const pedals = loaded.flatMap((own, index) => {
    const metres = cables[index] ?? (index < names.length - 1 ? USUAL_PATCH_METRES : undefined);
    return own.map((pedal, place) =>
      place === own.length - 1 && metres !== undefined ? { ...pedal, cableMetres: metres } : pedal,
    );
  });
  if (pedals.length > MOST_PEDALS)
    throw new CliError(
      `--${option} ${named(names.at(-1) ?? '')}: that makes ${pedals.length} pedals; a chain has at most ${MOST_PEDALS}.`,
    );
  return pedals;
}

/** Lengths of the cables that --then-cable names, in the order of --then. @throws CliError. */
function cablesOf({ then = [], 'against-then': other = [], 'then-cable': cables = [] }: Options) {
  if (cables.length > Math.max(then.length, other.length))
    throw new CliError('--then-cable needs a pedal at its end: name one with --then.');
  return cables.map((text) => numberIn('then-cable', text));
}

/** The pedals of a build file, chain file or preset, without changes. @throws CliError, BuildError. */
function loadPedals(name: string): readonly ChainPedal[] {
  const { pedals } = parseChainFile(presetText(name) ?? readText(name)).chain;
  for (const { build } of pedals) sayNewer(name, build);
  return pedals;
}

function isOff({ off = [], bypassed }: Options, position: number, { length }: readonly unknown[]): boolean {
  const numbers = off.map((text) => {
    if (!/^[0-9]+$/.test(text) || Number(text) < 1 || Number(text) > length)
      throw new CliError(`--off ${named(text)}: ${thereIsNo(text, length)}`);
    return Number(text) - 1;
  });
  return bypassed === true || numbers.includes(position);
}

function thereIsNo(number: string, count: number): string {
  return `there is no pedal ${named(number)}; the chain has ${count === 1 ? 'one pedal' : `${count} pedals`}.`;
}
