import { describe, expect, it } from 'vitest';
import { withProblem } from '../../ui/audio/problems.ts';

describe('problems of the sound', () => {
  it('are one line of at most 400 characters, whatever the name of a device', () => {
    const name = `Interface \u001b[31m${'x'.repeat(100_000)}`;
    const { source } = withProblem({}, 'source', `The input "${name}" was disconnected.`);
    expect(source!.length).toBeLessThanOrEqual(400);
    expect(source).toContain('\\u001b[31m');
  });

  it('are the same object where nothing changes, so that nothing is drawn again', () => {
    const long = 'The output device is gone. '.repeat(40);
    const problems = withProblem({}, 'sound', long);
    expect(withProblem(problems, 'sound', long)).toBe(problems);
    expect(withProblem(problems, 'source', undefined)).toBe(problems);
    expect(withProblem(problems, 'sound', undefined)).toEqual({});
  });
});
