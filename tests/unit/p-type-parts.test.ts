import { describe, expect, it } from 'vitest';
import { buildParts, startingBuild } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { circuitDocument, parseCircuit } from '../../engine/circuits/circuit-file.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { symbolShape } from '../../engine/drawing/symbol-shape.ts';

import { findBjt, findFet } from '../../engine/parts/catalogue.ts';

const PINS = { collector: 'drain', base: 'gate', emitter: 'source' } as const;

/**
 * The bundled soft-clip as a document, with another transistor as its output follower, whose low end is at the supply.
 */
function withFollower(kind: 'pnp' | 'pJfet', type: string): unknown {
  const text = JSON.stringify(circuitDocument(CIRCUITS.get('soft-clip')!));
  const renamed = Object.entries(PINS).reduce(
    (document, [own, other]) =>
      kind === 'pJfet' ? document.replaceAll(`"Q2.${own}"`, `"Q2.${other}"`) : document,
    text,
  );
  const document = JSON.parse(renamed);
  for (const stage of document.stages) {
    if (stage.parts.Q2) stage.parts.Q2 = { ...stage.parts.Q2, kind, type };
  }
  // The other transistor is another kind now.
  document.groups = document.groups.filter(
    ({ parts }: { parts: readonly string[] }) => !parts.includes('Q2'),
  );
  return document;
}

describe.each([
  ['pnp', '2N3906', () => findBjt('2N3906').data],
  ['pJfet', '2N5460', () => findFet('2N5460').data],
] as const)('a circuit with a %s', (kind, type, dataOf) => {
  const result = parseCircuit(withFollower(kind, type));
  if (!result.circuit) throw new Error(JSON.stringify(result.problems));
  const { circuit } = result;

  it('has it as a part of a build that can be changed', () => {
    expect(buildParts(circuit).find(({ ref }) => ref === 'Q2')?.kind).toBe(kind);
    const build = startingBuild(circuit);
    expect(build.parts['Q2']).toEqual({ type });
    const transistor = networkOf(build, NOMINAL_TEMPERATURE_K).primitives.find(({ ref }) => ref === 'Q2');
    expect(transistor).toMatchObject({ kind, data: dataOf() });
  });

  it('draws it with the current’s source end at the top', () => {
    const { pins } = symbolShape({ kind, type, at: [0, 0], role: '' });
    const [upper, lower] = kind === 'pnp' ? ['emitter', 'collector'] : ['source', 'drain'];
    // y increases downwards on the drawing.
    expect(pins[upper]!.at[1]).toBeLessThan(pins[lower]!.at[1]);
  });
});
