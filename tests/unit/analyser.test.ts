import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { Analyser } from '../../ui/plots/analyser.ts';
import type { FromAnalyser, ToAnalyser } from '../../ui/plots/analysis-messages.ts';
import type { Subject } from '../../ui/plots/plot-analysis.ts';
import { presetBuild } from '../preset-build.ts';

/** A worker that answers when the test tells it to, with the temperature that it was asked for. */
class FakeWorker extends EventTarget {
  static last: FakeWorker;
  readonly asked: ToAnalyser[] = [];
  isTerminated = false;

  constructor() {
    super();
    FakeWorker.last = this;
  }

  postMessage(message: ToAnalyser): void {
    this.asked.push(message);
  }

  terminate(): void {
    this.isTerminated = true;
  }

  answer(): void {
    const { id, query } = this.asked.at(-1)!;
    const temperatureC = 'subject' in query ? query.subject.temperatureC : 0;
    const data: FromAnalyser = { id, answer: { kind: 'result', result: [temperatureC] } };
    this.dispatchEvent(new MessageEvent('message', { data }));
  }
}

const subject = (temperatureC: number): Subject => ({
  build: presetBuild('soft-plain'),
  isBypassed: false,
  temperatureC,
  instrument: undefined,
  load: undefined,
  chain: undefined,
  probe: undefined,
});

let analyser: Analyser;
const ask = async (place: string, temperatureC: number) => {
  const answer = await analyser.ask(place, { kind: 'response', subject: subject(temperatureC) });
  return answer?.kind === 'result' ? answer.result[0] : answer?.kind;
};

beforeEach(() => {
  vi.stubGlobal('Worker', FakeWorker);
  analyser = new Analyser();
});
afterEach(() => {
  vi.unstubAllGlobals();
});

it('handles one request at a time, and of several waiting requests from one place keeps only the newest', async () => {
  const worker = FakeWorker.last;
  const [first, second, third, other] = [ask('a', 1), ask('a', 2), ask('a', 3), ask('b', 4)];
  expect(worker.asked).toHaveLength(1);
  expect(await second).toBeUndefined();
  worker.answer();
  expect(await first).toBe(1);
  expect(worker.asked).toHaveLength(2);
  worker.answer();
  expect(await third).toBe(3);
  worker.answer();
  expect(await other).toBe(4);
});

it('asks for pops after all else that waits, and for unity, which takes longest, last', async () => {
  const worker = FakeWorker.last;
  void ask('a', 1);
  const build = presetBuild('soft-plain');
  const around = {};
  void analyser.ask('unity', { kind: 'unity', build, temperatureC: 27, hasStandIn: true, around });
  void analyser.ask('pop', { kind: 'pop', build, temperatureC: 27, around, sampleRateHz: 48_000 });
  void ask('b', 2);
  for (let answers = 0; answers < 3; answers++) worker.answer();
  expect(worker.asked.map(({ query }) => query.kind)).toEqual(['response', 'response', 'pop', 'unity']);
});

it('answers at once what it already knows, for every caller', async () => {
  const worker = FakeWorker.last;
  const first = ask('a', 1);
  worker.answer();
  await first;
  expect(await ask('b', 1)).toBe(1);
  expect(worker.asked).toHaveLength(1);
});

it('gives no answer that would come after a newer one, which was known already', async () => {
  const worker = FakeWorker.last;
  const known = ask('a', 1);
  worker.answer();
  await known;
  const answered: unknown[] = [];
  const older = ask('a', 2).then((answer) => answered.push(answer));
  const newer = ask('a', 1).then((answer) => answered.push(answer));
  worker.answer();
  await Promise.all([older, newer]);
  expect(answered.filter((answer) => answer !== undefined)).toEqual([1]);
  // It is kept all the same.
  expect(await ask('a', 2)).toBe(2);
});

it('continues after a failure of the worker, and reports the failure', async () => {
  const worker = FakeWorker.last;
  const [first, second] = [ask('a', 1), ask('b', 2)];
  worker.dispatchEvent(new Event('error'));
  expect(await first).toBe('refused');
  worker.answer();
  expect(await second).toBe(2);
});

it('answers every waiting request when it is closed', async () => {
  const waiting = [ask('a', 1), ask('b', 2)];
  analyser.close();
  expect(await Promise.all(waiting)).toEqual([undefined, undefined]);
  expect(FakeWorker.last.isTerminated).toBe(true);
});

it('stops what is computed and what waits, and then computes with another worker; what is known stays', async () => {
  const worker = FakeWorker.last;
  const known = ask('a', 1);
  worker.answer();
  await known;
  const ended = [ask('a', 2), ask('b', 3)];
  analyser.stop();
  expect(await Promise.all(ended)).toEqual([undefined, undefined]);
  expect(worker.isTerminated).toBe(true);
  expect(await ask('a', 1)).toBe(1);
  const next = ask('a', 2);
  expect(FakeWorker.last).not.toBe(worker);
  FakeWorker.last.answer();
  expect(await next).toBe(2);
});
