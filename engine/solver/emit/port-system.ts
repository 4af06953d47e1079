import { firstPorts } from '../block-memory.ts';
import type { CompiledBlock } from '../compiled-circuit.ts';
import { parallelDiodes, solveParallel } from './emit-parallel.ts';
import { solveStraight } from './emit-solve.ts';
import { add, addressOf, type Code, double, load, multiply, negate, subtract, sum } from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';
import { type EmittedDevice, isZero, type NewtonSystem, type SolvedSystem } from './newton-system.ts';
import type { BlockPlace } from './structure.ts';

/** Up to this many ports, parallel diodes are solved with the rest: little could be saved. */
const MOST_PLAIN_PORTS = 3;

/** Emits the linear system of a Newton step on the ports of a block: (1 − K·D)·Δ = p + K·g − v. */
export class PortSystem implements NewtonSystem {
  readonly meritIsStep = false;
  readonly #f: FunctionBuilder;
  readonly #block: CompiledBlock;
  readonly #place: BlockPlace;
  readonly #ports: readonly number[];
  readonly #open: readonly Code[];

  /** @param open Voltages of the ports at g = 0, p. */
  constructor(f: FunctionBuilder, block: CompiledBlock, place: BlockPlace, open: readonly Code[]) {
    this.#f = f;
    this.#block = block;
    this.#place = place;
    this.#ports = firstPorts(block);
    this.#open = open;
  }

  solve(devices: readonly EmittedDevice[], v: readonly Code[]): SolvedSystem {
    const { matrix, residual } = this.#emitSystem(devices, v);
    return { step: this.#emitSolution(devices, matrix, residual), merit: residual, nodes: [] };
  }

  /** 1 − K·D and p + K·g − v, without entries that are zero by structure. */
  #emitSystem(
    devices: readonly EmittedDevice[],
    v: readonly Code[],
  ): { matrix: (Code | undefined)[][]; residual: Code[] } {
    const f = this.#f;
    const currents = devices.flatMap((device) => device.currents);
    const { memory, structure } = this.#place;
    const { portCount, width, portRows } = memory;
    const open = this.#open;
    const coupling = (row: number, port: number): Code | undefined => {
      const entry = row * width + width - portCount + port;
      return structure.portRows[entry] ? load(addressOf(portRows, entry)) : undefined;
    };
    const matrix = open.map((_, row) =>
      devices.flatMap((device, index) => {
        const first = this.#ports[index]!;
        return device.slopes.map((_, column) => {
          const terms = device.slopes.flatMap((slopes, port) => {
            const k = coupling(row, first + port);
            return k && !isZero(slopes[column]!) ? [multiply(slopes[column]!, k)] : [];
          });
          const isDiagonal = first + column === row;
          if (terms.length === 0) return isDiagonal ? double(1) : undefined;
          return f.settle(isDiagonal ? subtract(f.constant(1), sum(terms)) : negate(sum(terms)));
        });
      }),
    );
    const residual = open.map((p, row) => {
      const terms = currents.flatMap((current, port) => {
        const k = coupling(row, port);
        return k && !isZero(current) ? [multiply(current, k)] : [];
      });
      return f.settle(add(p, subtract(sum(terms), v[row]!)));
    });
    return { matrix, residual };
  }

  #emitSolution(
    devices: readonly EmittedDevice[],
    matrix: readonly (readonly (Code | undefined)[])[],
    residual: readonly Code[],
  ): readonly Code[] {
    const parallels = residual.length > MOST_PLAIN_PORTS ? parallelDiodes(this.#block) : [];
    if (parallels.length === 0) return solveStraight(this.#f, matrix, residual);
    const stiffness = (device: number) => {
      const { seriesOffset } = this.#block.devices[device]!;
      const seriesOhms = load(this.#place.parametersAddress + 8 * seriesOffset);
      return add(double(1), multiply(seriesOhms, devices[device]!.slopes[0]![0]!));
    };
    const followers = parallels.map(({ device, lead, sign }) => ({
      port: this.#ports[device]!,
      lead: this.#ports[lead]!,
      sign,
      stiffness: stiffness(device),
      leadStiffness: stiffness(lead),
    }));
    return solveParallel(this.#f, { matrix, residual, followers });
  }
}
