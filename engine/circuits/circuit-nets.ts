import type { Circuit, Stage } from './circuit.ts';
import { pinsOf } from './part-spec.ts';

/** Pins of a circuit by net, before fits and switches join or separate them. */
export interface CircuitNets {
  /** Net of a pin such as "R4.1", and of a port such as ":bias". */
  readonly netOf: ReadonlyMap<string, string>;
}

/** Something that makes a circuit's wires ambiguous. */
export interface WireProblem {
  readonly code:
    | 'unknown-port'
    | 'unknown-pin'
    | 'two-names'
    | 'name-twice'
    | 'named-port'
    | 'joined-ports'
    | 'unreached-pin';
  /** Index of the stage in the circuit, and of the wire in the stage; −1 if no single wire is the cause. */
  readonly stage: number;
  readonly wire: number;
  readonly subject: string;
  readonly problem: string;
  readonly remedy: string;
}

const GROUND_PORT = 'ground';
export const INPUT_NET = 'in';
export const OUTPUT_NET = 'out';
export const GROUND_NET = '0';

/** Nets of each circuit, computed once; circuits do not change. */
const knownNets = new WeakMap<Circuit, CircuitNets>();

/**
 * Nets of a circuit from the wires of its stages, computed once for each circuit. A net is named, in this order, by
 * ground, the circuit's input or output, a rail, the name on a wire, another shared port, or its first pin.
 *
 * @throws RangeError if `wireProblems` finds a problem; a parsed circuit has none.
 */
export function circuitNets(circuit: Circuit): CircuitNets {
  const known = knownNets.get(circuit);
  if (known) return known;
  const { netOf, problems } = findNets(circuit);
  if (problems[0]) throw new RangeError(`${problems[0].problem} ${problems[0].remedy}`);
  const nets = { netOf };
  knownNets.set(circuit, nets);
  return nets;
}

/** Problems of a circuit's wires; none if each pin is on one net with one name. */
export function wireProblems(circuit: Circuit): readonly WireProblem[] {
  return findNets(circuit).problems;
}

/** Names of nets, each with the wire that gives it. */
interface GivenName {
  readonly name: string;
  readonly pin: string;
  readonly stage: number;
  readonly wire: number;
}

function findNets(circuit: Circuit): CircuitNets & { readonly problems: readonly WireProblem[] } {
  const problems: WireProblem[] = [];
  const joined = new PinSets();
  const names: GivenName[] = [];
  const ports = signalPorts(circuit.stages);
  circuit.stages.forEach((described, stage) => {
    described.wires.forEach((each, wire) => {
      const given = 'pins' in each ? each.name : undefined;
      const pins = ('pins' in each ? each.pins : each).flatMap((pin) => {
        const problem = pinProblem(described, pin);
        if (problem) problems.push({ ...problem, stage, wire, subject: pin });
        return problem ? [] : [pin.includes('.') ? pin : ports(stage, pin)];
      });
      const [first] = pins;
      if (first === undefined) return;
      for (const pin of pins) joined.join(first, pin);
      if (given !== undefined) names.push({ name: given, pin: first, stage, wire });
    });
  });
  const netOf = new Map<string, string>();
  for (const members of joined.sets()) {
    const own = names.filter(({ pin }) => members.includes(pin));
    const fixed = fixedName(members, circuit.rails);
    problems.push(...nameProblems(own, fixed), ...portProblems(members));
    const name = fixed ?? own[0]?.name ?? looseName(members);
    for (const pin of members) netOf.set(pin, name);
  }
  problems.push(...repeatedNames(names, netOf, joined), ...unreachedPins(circuit.stages, netOf));
  return { netOf, problems };
}

/**
 * Nets of ports across stages: the input of each stage in the signal path is the output of the one before; a
 * port of any other name is one net in all stages that have it.
 */
function signalPorts(stages: readonly Stage[]): (stage: number, port: string) => string {
  const path = stages.flatMap(({ ports }, stage) => ('in' in ports ? [stage] : []));
  return (stage, port) => {
    const place = path.indexOf(stage);
    if (port === 'in') return place === 0 ? `:${INPUT_NET}` : `:signal ${place}`;
    if (port === 'out') return place === path.length - 1 ? `:${OUTPUT_NET}` : `:signal ${place + 1}`;
    return `:${port}`;
  };
}

function pinProblem(
  described: Stage,
  pin: string,
): Pick<WireProblem, 'code' | 'problem' | 'remedy'> | undefined {
  const dot = pin.indexOf('.');
  if (dot < 0) {
    if (Object.hasOwn(described.ports, pin)) return undefined;
    return {
      code: 'unknown-port',
      problem: `Stage ${described.id} has no port "${pin}".`,
      remedy: `Use one of its ports (${Object.keys(described.ports).join(', ')}), or a pin such as "R1.1".`,
    };
  }
  const ref = pin.slice(0, dot);
  const part = Object.hasOwn(described.parts, ref) ? described.parts[ref] : undefined;
  if (!part) {
    return {
      code: 'unknown-pin',
      problem: `Stage ${described.id} has no part ${ref}.`,
      remedy: `Add ${ref} to the stage, or remove "${pin}" from the wire.`,
    };
  }
  const pins = pinsOf(part);
  if (pins.includes(pin.slice(dot + 1))) return undefined;
  return {
    code: 'unknown-pin',
    problem: `${ref} has no pin "${pin.slice(dot + 1)}".`,
    remedy: `The pins of ${ref} are ${pins.join(', ')}.`,
  };
}

function nameProblems(own: readonly GivenName[], fixed: string | undefined): readonly WireProblem[] {
  const [first] = own;
  if (!first) return [];
  if (fixed !== undefined) {
    return own.map((given) => ({
      code: 'named-port' as const,
      ...given,
      subject: given.name,
      problem: `The wire named "${given.name}" is on ${fixed === GROUND_NET ? 'ground' : `"${fixed}"`}, which already has a name.`,
      remedy: 'Remove the name from the wire.',
    }));
  }
  const other = own.find(({ name }) => name !== first.name);
  if (!other) return [];
  return [
    {
      code: 'two-names',
      ...other,
      subject: other.name,
      problem: `One net is named "${first.name}" and "${other.name}".`,
      remedy: 'Give it one name, or remove the wire between them.',
    },
  ];
}

function portProblems(members: readonly string[]): readonly WireProblem[] {
  const [first, second] = sharedPorts(members);
  if (second === undefined) return [];
  return [
    {
      code: 'joined-ports',
      stage: -1,
      wire: -1,
      subject: second,
      problem: `The ports "${first}" and "${second}" are joined by wires.`,
      remedy: 'Separate them, or use one port for both.',
    },
  ];
}

/** Names on two nets, which would join them without a wire. */
function repeatedNames(
  names: readonly GivenName[],
  netOf: ReadonlyMap<string, string>,
  joined: PinSets,
): readonly WireProblem[] {
  const first = new Map<string, GivenName>();
  const ports = new Set(sharedPorts([...netOf.keys()]));
  return names.flatMap((given): WireProblem[] => {
    const before = first.get(given.name);
    if (!before) first.set(given.name, given);
    const isOtherNet = before !== undefined && !joined.areJoined(before.pin, given.pin);
    const isPort = ports.has(given.name) && !joined.areJoined(`:${given.name}`, given.pin);
    if (!isOtherNet && !isPort) return [];
    return [
      {
        code: 'name-twice',
        stage: given.stage,
        wire: given.wire,
        subject: given.name,
        problem: `Two nets have the name "${given.name}".`,
        remedy: 'Join them by a wire, or give one another name.',
      },
    ];
  });
}

function unreachedPins(stages: readonly Stage[], netOf: ReadonlyMap<string, string>): readonly WireProblem[] {
  return stages.flatMap(({ parts }, stage) =>
    Object.entries(parts).flatMap(([ref, part]) =>
      pinsOf(part)
        .map((pin) => `${ref}.${pin}`)
        .filter((pin) => !netOf.has(pin))
        .map(
          (pin): WireProblem => ({
            code: 'unreached-pin',
            stage,
            wire: -1,
            subject: pin,
            problem: `No wire reaches ${pin}.`,
            remedy: `Add "${pin}" to a wire, or remove ${ref}.`,
          }),
        ),
    ),
  );
}

/** The name of a net that its wires cannot change. */
function fixedName(members: readonly string[], rails: readonly string[]): string | undefined {
  const ports = sharedPorts(members);
  if (ports.includes(GROUND_PORT)) return GROUND_NET;
  return ports.find((port) => port === INPUT_NET || port === OUTPUT_NET || rails.includes(port));
}

function looseName(members: readonly string[]): string {
  return sharedPorts(members)[0] ?? members.find((pin) => !pin.startsWith(':')) ?? members[0]!;
}

/** Ports on a net that do not lead from one stage to the next. */
function sharedPorts(members: readonly string[]): readonly string[] {
  return members.filter((pin) => pin.startsWith(':') && !pin.includes(' ')).map((pin) => pin.slice(1));
}

/** Disjoint sets of pin names, in order of first appearance. */
class PinSets {
  readonly #setOf = new Map<string, string[]>();

  join(a: string, b: string): void {
    const setA = this.#own(a);
    const setB = this.#own(b);
    if (setA === setB) return;
    for (const pin of setB) {
      setA.push(pin);
      this.#setOf.set(pin, setA);
    }
  }

  areJoined(a: string, b: string): boolean {
    return this.#setOf.get(a) === this.#setOf.get(b);
  }

  sets(): readonly string[][] {
    return [...new Set(this.#setOf.values())];
  }

  #own(pin: string): string[] {
    const existing = this.#setOf.get(pin);
    if (existing) return existing;
    const created = [pin];
    this.#setOf.set(pin, created);
    return created;
  }
}
