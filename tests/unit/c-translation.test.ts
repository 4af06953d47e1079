import { expect, it } from 'vitest';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { emitCircuit } from '../../engine/solver/emit/emit-circuit.ts';
import { translateToC } from '../benchmark/c-translation.ts';
import { rowOfStages } from '../benchmark/growth-networks.ts';

it('the code of a long row, which is divided into several functions, has each of them in C, called in order', () => {
  const { network } = rowOfStages('clippers with op-amps between', 120);
  const circuit = compileCircuit(network, { sampleRateHz: 768_000 });
  const source = translateToC(emitCircuit(circuit, { isPaired: false })!.single);
  const run = source.slice(source.indexOf('int run(int v0, int v1) {'));
  const called = [...run.matchAll(/= (part\d+)\(v0, v\d+\);/g)].map(([, name]) => name);
  expect(called.length).toBeGreaterThan(1);
  expect(called).toEqual([...called].sort());
  for (const name of called) expect(source).toContain(`int ${name}(int v0, int v1) {`);
});
