import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { bypassBuild } from '../bypass-parts.ts';
import { cliplead } from './command-run.ts';

const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-pop-'));
const file = path.join(folder, 'build.json');

describe('the command "pop"', () => {
  afterAll(() => {
    rmSync(folder, { recursive: true });
  });

  it('says by how much a footswitch pops, with and without the pull-down', async () => {
    writeFileSync(file, serialiseBuild(bypassBuild('true')));
    const { code, out } = await cliplead('pop', '--build', file);
    expect(code).toBe(0);
    expect(out).toMatch(/effect on +3\d(\.\d)? mV, over after/);
    const open = await cliplead('pop', '--build', file, '--set', 'R14=open', '--json');
    const { on, bypassed } = JSON.parse(open.out);
    expect(on.peakV).toBeGreaterThan(3);
    expect(on.seconds).toBeGreaterThan(30);
    expect(bypassed.peakV).toBeGreaterThan(0.3);
  });

  it('counts what follows the pedal: a line input discharges the capacitor a hundred times as fast', async () => {
    writeFileSync(file, serialiseBuild(bypassBuild('true')));
    const { out } = await cliplead('pop', '--build', file, '--set', 'R14=open', '--into', 'line', '--json');
    expect(JSON.parse(out).on.seconds).toBeLessThan(2);
  });

  it('refuses a circuit whose footswitch is not among its parts', async () => {
    const older = { format: 'cliplead-build', version: 2, circuit: 'soft-clip', revision: 1 };
    writeFileSync(file, JSON.stringify(older));
    const { code, err } = await cliplead('pop', '--build', file);
    expect(code).toBe(2);
    expect(err).toMatch(/revision 1, has no footswitch among its parts/);
  });
});
