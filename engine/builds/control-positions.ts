/** The positions that the knobs and switches of a build can have. */
import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { quoted, shownValue } from '../input/shown-text.ts';

/** What is wrong with a knob's position; undefined if nothing is. */
export function knobProblem(circuit: Circuit, name: string, rotation: unknown): string | undefined {
  if (!circuit.knobs.some((knob) => knob.name === name)) {
    return `${circuit.title} has no knob ${quoted(name)}; it has ${circuit.knobs.map((knob) => knob.name).join(', ')}.`;
  }
  if (typeof rotation !== 'number' || !(rotation >= 0 && rotation <= 1)) {
    return `Knob "${name}" is at ${shownValue(rotation)}; it turns from 0 to 1.`;
  }
  return undefined;
}

/** What is wrong with a switch's position; undefined if nothing is. */
export function switchProblem(circuit: Circuit, name: string, position: unknown): string | undefined {
  const control = circuit.switches.find((candidate) => candidate.name === name);
  if (!control) {
    const names = circuit.switches.map((candidate) => candidate.name).join(', ');
    return `${circuit.title} has no switch ${quoted(name)}; it has ${names}.`;
  }
  const positions = switchPositions(circuit, name);
  if (typeof position === 'string' && positions.includes(position)) return undefined;
  return `Switch "${name}" is at ${shownValue(position)}; its positions are ${positions.join(', ')}.`;
}

/** Positions of a switch in the order of its throw. */
export function switchPositions(circuit: Circuit, name: string): readonly string[] {
  const control = circuit.switches.find((candidate) => candidate.name === name);
  const part = control && partsOf(circuit).get(control.ref)?.part;
  return part?.kind === 'switch' ? Object.keys(part.positions) : [];
}
