import { beforeEach, describe, expect, it, vi } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import * as solving from '../../engine/solver/operating-point.ts';
import type { AudioSession } from '../../ui/audio/audio-session.ts';
import { BenchRemote } from '../../ui/audio/bench-remote.ts';
import { BenchAudio, soundOf } from '../../ui/bench-audio.ts';
import { STARTING_RATE } from '../../ui/rate/live-rate.ts';
import { RateDesk } from '../../ui/rate/rate-desk.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { SwapsOnPage } from '../../ui/swap/swap-maker.ts';
import { SwapPath } from '../../ui/swap/swap-path.ts';
import type { Slot, ToProcessor } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

vi.mock('../../engine/solver/operating-point.ts', async (importOriginal) => {
  const original = await importOriginal<typeof solving>();
  return { ...original, operatingPoint: vi.fn(original.operatingPoint) };
});
const solve = vi.mocked(solving.operatingPoint);

/** A session without a browser: it records what it sends to the audio thread. */
class Session extends BenchRemote {
  readonly told: ToProcessor[] = [];
  state = {
    sampleRateHz: 48_000,
    rate: STARTING_RATE,
    source: { kind: 'none' },
    usesFallback: true,
    isRunning: false,
  };

  constructor() {
    super();
    this.link.connect(portTo(this.told));
  }

  get circuitRateHz(): number {
    return this.state.sampleRateHz * this.state.rate.factor;
  }

  setRate(rate: typeof STARTING_RATE): void {
    this.state = { ...this.state, rate };
  }

  setMuted(): void {}
  setSettings(): void {}
  setInterfaceVolts(): void {}

  /** What a newly opened context would receive. */
  reopened(): readonly ToProcessor[] {
    const told: ToProcessor[] = [];
    this.link.connect(portTo(told));
    return told;
  }
}

function portTo(told: ToProcessor[]): MessagePort {
  return { postMessage: (message: ToProcessor) => told.push(message) } as unknown as MessagePort;
}

function bench() {
  const a = presetBuild('soft-plain');
  const session = new Session();
  const audio = session as unknown as AudioSession;
  const nothing = () => Promise.reject(new Error('nothing is to be measured'));
  const rate = new RateDesk(audio, nothing, nothing);
  const state = { ...freshState({ a, b: presetBuild('soft-led') }), isLinked: false };
  const store = new BenchStore(state, new SwapPath(soundOf(audio, rate), new SwapsOnPage()));
  new BenchAudio(store, audio, rate);
  session.told.length = 0;
  solve.mockClear();
  return { store, session };
}

/** The builds that were sent to the audio thread. */
const builtIn = ({ told }: Session) =>
  told.map(({ type }) => type).filter((type) => type === 'values' || type === 'circuit');

const valuesOf = ({ told }: Session, slot: Slot) =>
  told.flatMap((message) => (message.type === 'values' && message.slot === slot ? [message.numbers] : []));

/** Rest voltages of build A, compiled and solved without a starting point. */
function freshVolts({ state }: BenchStore, sampleRateHz: number): Float64Array {
  const network = networkOf(state.builds.a, kelvinOf(state.temperatureC));
  return compileCircuit(network, { sampleRateHz, interpreted: true }).restVolts;
}

describe('values that change on the bench', () => {
  beforeEach(() => void solve.mockClear());

  it.each([
    ['V1', { value: '18V' }],
    ['R15', { value: '11k' }],
  ] as const)('reach the audio thread with their operating point, solved once: %s', (ref, setting) => {
    const { store, session } = bench();
    store.act({ type: 'setPart', slot: 'a', ref, setting });
    expect(store.state.refusal).toBeUndefined();
    expect(solve).toHaveBeenCalledTimes(1);
    expect(builtIn(session)).toEqual(['values']);
    const [numbers] = valuesOf(session, 'a');
    expect(numbers!.restVolts).toEqual(freshVolts(store, session.circuitRateHz));
    const again = session.reopened().find((message) => message.type === 'circuit' && message.slot === 'a');
    expect(again).toMatchObject({ circuit: { ...numbers } });
  });

  it('are solved from the present operating point after a knob, and once without a starting point after the temperature', () => {
    const { store, session } = bench();
    store.act({ type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 });
    store.act({ type: 'temperature', celsius: 50 });
    const told = valuesOf(session, 'a');
    expect(told).toHaveLength(2);
    // A temperature is accepted where both builds can be solved without a starting point, as they are at the next
    // visit.
    expect(solve.mock.calls.map(([, near]) => near !== undefined)).toEqual([true, false, false]);
    const fresh = freshVolts(store, session.circuitRateHz);
    // Both ways solve to 1e-12 of the largest voltage.
    for (const [node, volts] of told[1]!.restVolts.entries())
      expect(Math.abs(volts - fresh[node]!)).toBeLessThan(1e-8);
  });

  it('are reported once and not applied where they cannot be solved; the sound continues as before', () => {
    const { store, session } = bench();
    let changes = 0;
    store.addEventListener('change', () => changes++);
    solve.mockImplementationOnce(() => {
      throw new solving.OperatingPointError('rest-state', 'The circuit has no DC operating point.');
    });
    store.act({ type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 });
    expect(builtIn(session)).toEqual([]);
    expect(store.state.refusal?.message).toBe(
      'A keeps its old sound: The circuit has no DC operating point.',
    );
    expect(changes).toBe(2);
  });
});
