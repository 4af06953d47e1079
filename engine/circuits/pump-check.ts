import type { Circuit } from './circuit.ts';
import { allParts, type CircuitProblem } from './circuit-problem.ts';
import type { PartSpec } from './part-spec.ts';
import { aKind } from './part-values.ts';

/** Converters whose pump capacitors or first diode are no such parts of the circuit. */
export function pumpProblems(circuit: Circuit): readonly CircuitProblem[] {
  return [...allParts(circuit)].flatMap(([ref, { part, place }]) => {
    if (part.kind !== 'converter' || !part.pump) return [];
    const { doubler, inverter } = part.pump;
    const wanted: readonly (readonly [key: string, named: string, kind: PartSpec['kind']])[] = [
      ['doubler.capacitor', doubler.capacitor, 'capacitor'],
      ['doubler.diode', doubler.diode, 'diode'],
      ['inverter.capacitor', inverter.capacitor, 'capacitor'],
    ];
    return wanted.flatMap(([key, named, kind]): readonly CircuitProblem[] => {
      const found = allParts(circuit).get(named)?.part.kind;
      if (found === kind) return [];
      return [
        {
          code: 'pump-part',
          place: `${place}.pump.${key}`,
          problem: `The converter ${ref} pumps with ${named}, which is ${found ? aKind(found) : 'no part of the circuit'}.`,
          remedy: `Name ${aKind(kind)}.`,
        },
      ];
    });
  });
}
