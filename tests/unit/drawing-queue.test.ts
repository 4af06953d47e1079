import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { DrawingQueue } from '../../ui/drawing-queue.ts';

const log: string[] = [];
/** The clock of the page, ms: only drawings take time. */
let nowMs = 0;

vi.mock('../../ui/next-task.ts', () => ({
  nextTask: async () => {
    await new Promise((resolve) => setImmediate(resolve));
    log.push('task');
  },
}));

/** Queues a drawing that takes a time. @param then What it leads to, in a microtask. */
function draw(queue: DrawingQueue, name: string, takesMs: number, then = () => {}): Promise<void> {
  return queue.add(() => {
    log.push(name);
    nowMs += takesMs;
    queueMicrotask(then);
  });
}

describe('the queue of drawings', () => {
  const laidOut = () => void log.push('laid out');

  beforeEach(() => {
    log.length = 0;
    vi.spyOn(performance, 'now').mockImplementation(() => nowMs);
  });
  afterEach(() => void vi.restoreAllMocks());

  it('gives each drawing that takes long a task of its own, with its layout', async () => {
    const queue = new DrawingQueue(laidOut);
    for (const name of ['schematic', 'card', 'list']) void draw(queue, name, 5);
    expect(log).toEqual([]);
    await queue.empty();
    expect(log).toEqual([
      ...['task', 'schematic', 'laid out'],
      ...['task', 'card', 'laid out'],
      ...['task', 'list', 'laid out'],
    ]);
  });

  it('draws short ones together, and what they lead to', async () => {
    const queue = new DrawingQueue(laidOut);
    void draw(queue, 'bench', 0.1, () => void draw(queue, 'meter', 0.1));
    await queue.empty();
    expect(log).toEqual(['task', 'bench', 'laid out', 'meter', 'laid out']);
  });

  it('goes on after a drawing that throws, and tells whoever asked for it', async () => {
    const queue = new DrawingQueue(laidOut);
    const broken = queue.add(() => {
      throw new TypeError('no such figure');
    });
    const fine = draw(queue, 'card', 0);
    await expect(broken).rejects.toThrow('no such figure');
    await fine;
    await queue.empty();
    expect(log).toContain('card');
  });

  it('is empty at once if nothing waits', async () => {
    await new DrawingQueue(laidOut).empty();
    expect(log).toEqual([]);
  });
});
