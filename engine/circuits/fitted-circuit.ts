import type { BypassKind, Circuit, Stage } from './circuit.ts';

/** Ports that do not join a stage to all others with a port of that name. */
const OTHER_PORTS = ['in', 'out', 'ground'];

const fitted = new WeakMap<Circuit, Map<BypassKind, Circuit>>();

/**
 * The circuit as it is soldered with the build's kind of bypass: without the stages of the other kinds, the ports that led only
 * to them, and groups of their parts. Made once for each kind.
 */
export function fittedCircuit({
  circuit,
  bypass,
}: {
  readonly circuit: Circuit;
  readonly bypass: BypassKind;
}): Circuit {
  if (!circuit.stages.some((stage) => stage.bypass)) return circuit;
  const known = fitted.get(circuit) ?? new Map<BypassKind, Circuit>();
  fitted.set(circuit, known);
  const made = known.get(bypass) ?? withKind(circuit, bypass);
  known.set(bypass, made);
  return made;
}

function withKind(circuit: Circuit, kind: BypassKind): Circuit {
  const stages = circuit.stages.filter(({ bypass }) => bypass === undefined || bypass.includes(kind));
  const count = (of: readonly Stage[], port: string) => of.filter(({ ports }) => port in ports).length;
  const isLonely = (port: string) =>
    !OTHER_PORTS.includes(port) && count(stages, port) === 1 && count(circuit.stages, port) > 1;
  const parts = new Set(
    stages.flatMap((each) =>
      Object.entries(each.parts).map(([ref, part]) => (part.kind === 'opamp' ? part.package : ref)),
    ),
  );
  return {
    ...circuit,
    stages: stages.map((each) => withoutPorts(each, isLonely)),
    ...(circuit.groups && {
      groups: circuit.groups.filter((group) => group.parts.every((ref) => parts.has(ref))),
    }),
  };
}

/** A stage without some of its ports; the wires stay. */
export function withoutPorts<S extends Stage>(stage: S, isGone: (port: string) => boolean): S {
  if (!Object.keys(stage.ports).some(isGone)) return stage;
  const kept = (pins: readonly string[]) => pins.filter((pin) => pin.includes('.') || !isGone(pin));
  return {
    ...stage,
    ports: Object.fromEntries(Object.entries(stage.ports).filter(([port]) => !isGone(port))),
    wires: stage.wires.map((wire) =>
      'pins' in wire ? { name: wire.name, pins: kept(wire.pins) } : kept(wire),
    ),
  };
}
