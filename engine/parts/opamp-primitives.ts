import type { NodeName } from '../devices/node.ts';
import type { Opamp, OpampData } from '../devices/opamp-data.ts';
import { ofPart, ofPiece } from '../devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import type { Primitive } from '../network/network.ts';
import type { ClassBOutput, OpampEntry } from './catalogue-entry.ts';
import { opampNoise } from './device-noise.ts';
import { forwardVoltage } from './diode-curve.ts';

/** Output current at which a class-B stage has the swing of its datasheet, A: about 10 kΩ at 9 V. */
const SWING_TEST_A = 0.5e-3;

/** The data of a type for the network: the headrooms are those without a load, and what a load takes stands beside them. */
export function opampNetworkData({ data, output }: Pick<OpampEntry, 'data' | 'output'>): OpampData {
  if (!output) return data;
  const { saturationOhms, headroomAtA, sourceA, sinkA } = output;
  const lostV = saturationOhms * headroomAtA;
  return {
    ...data,
    headroomHighV: data.headroomHighV - lostV,
    headroomLowV: data.headroomLowV - lostV,
    underLoad: { saturationOhms, sourceLimitA: sourceA, sinkLimitA: sinkA },
  };
}

/**
 * An op-amp of a type as primitives: its amplifier, and the junctions and resistor that its type has at the
 * pins. A type without them is one primitive.
 */
export function opampPrimitives(entry: OpampEntry, ref: string, nodes: Opamp['nodes']): Primitive[] {
  const { inputClamp, classBOutput } = entry;
  const data = opampNetworkData(entry);
  const [plus, minus] = nodes;
  const part = ofPart(ref);
  const clamps: Primitive[] =
    inputClamp === undefined || plus === minus
      ? []
      : [
          { kind: 'diode', ...ofPiece(part, 'clamp 1'), nodes: [plus, minus], count: 1, data: inputClamp },
          { kind: 'diode', ...ofPiece(part, 'clamp 2'), nodes: [minus, plus], count: 1, data: inputClamp },
        ];
  const noise = opampNoise(entry);
  const bare: Opamp = { kind: 'opamp', ...part, nodes, data, ...(noise && { noise }) };
  const amplifier = classBOutput === undefined ? [bare] : classBPrimitives(bare, classBOutput);
  return [...amplifier, ...clamps];
}

/**
 * A complementary output stage without bias between its halves: the amplifier drives a net of its own, from which
 * `sourcing` junctions lead to the pin and one leads back. Between the two lies a dead zone that the amplifier
 * has to slew across whenever the current changes direction, unless the current that the stage sinks by itself
 * (here a resistor to the negative supply pin) keeps it on one side.
 */
function classBPrimitives(bare: Opamp, { junction, sourcing, classAOhms }: ClassBOutput): Primitive[] {
  const { ref, data } = bare;
  const piece = (word: string) => ofPiece(bare, word);
  const [plus, minus, out, positive, negative] = bare.nodes;
  const drive: NodeName = `${ref} drive`;
  // The datasheet gives the swing of the pin; the amplifier itself goes further by the drop of the sourcing half.
  const dropV = forwardVoltage(junction, SWING_TEST_A, NOMINAL_TEMPERATURE_K, sourcing);
  const { headroomHighV, headroomLowV } = data;
  return [
    {
      ...bare,
      nodes: [plus, minus, drive, positive, negative],
      data: { ...data, headroomHighV: headroomHighV - dropV },
      drives: { net: out, headroomHighV, headroomLowV },
    },
    { kind: 'diode', ...piece('sourcing'), nodes: [drive, out], count: sourcing, data: junction },
    { kind: 'diode', ...piece('sinking'), nodes: [out, drive], count: 1, data: junction },
    { kind: 'resistor', ...piece('class A'), nodes: [out, negative], ohms: classAOhms },
  ];
}
