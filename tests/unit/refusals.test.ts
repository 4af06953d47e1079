import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { nullDepth } from '../../engine/analysis/null-depth.ts';
import { type RankSettings, rankCandidate } from '../../engine/analysis/rank.ts';
import { bytesInMemory } from '../../engine/audio/byte-source.ts';
import { openRecording } from '../../engine/audio/recording-file.ts';
import { speakerResponse } from '../../engine/audio/speaker.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { parseSettingText } from '../../engine/builds/part-setting.ts';
import { typeOfKind } from '../../engine/circuits/part-values.ts';
import { readAtMost, systemReason } from '../../engine/cli/input-file.ts';
import { parseOptions } from '../../engine/cli/options.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { readJson } from '../../engine/input/json.ts';
import { Refusal, type RefusalCode } from '../../engine/input/refusal.ts';
import { findDiode } from '../../engine/parts/catalogue.ts';
import { checkNetwork } from '../../engine/solver/network-check.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { parseValue } from '../../engine/units/value-code.ts';
import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('soft-plain');
const at27 = (parts: typeof plain.parts) =>
  networkOf({ ...plain, parts: { ...plain.parts, ...parts } }, NOMINAL_TEMPERATURE_K);

/** What is refused, by code, and the action that is refused. */
const REFUSED: readonly (readonly [RefusalCode, () => unknown])[] = [
  ['value', () => parseValue('4kk7', 'ohms')],
  ['unknown-type', () => findDiode('1N99999')],
  ['wrong-kind', () => typeOfKind('npn', 'J201')],
  ['build', () => parseSettingText({ ref: 'R4', kind: 'resistor' } as never, '4kk7', { value: '4k7' })],
  ['build', () => parseBuildFile('{"format": "cliplead-build"')],
  ['build', () => parseBuildFile(serialiseBuild(plain).replace('"soft-clip"', '"no-such-circuit"'))],
  ['network', () => checkNetwork(at27({ R5: { value: '10k', fit: 'open' } }))],
  ['starved', () => operatingPoint(at27({ R1: { value: '1M' }, V1: { value: '1V' } }))],
  ['recording', () => openRecording(bytesInMemory(new TextEncoder().encode('RIFF but no WAVE of any kind')))],
  ['recording', () => openRecording(bytesInMemory(new TextEncoder().encode('fLaC and nothing behind it')))],
  ['silence', () => speakerResponse(new Float64Array(100), 48_000, 48_000)],
  ['silence', () => nullDepth(new Float64Array(64), Float64Array.of(1, ...new Float64Array(63)))],
  ['option', () => parseOptions('voltages', ['--loud'])],
  ['file', () => readAtMost('package.json', 10)],
];

function thrownBy(act: () => unknown): unknown {
  try {
    act();
  } catch (error) {
    return error;
  }
  return undefined;
}

describe('what is refused to a user', () => {
  it.each(REFUSED)('is a refusal of code "%s"', (code, act) => {
    const error = thrownBy(act);
    expect(error).toBeInstanceOf(Refusal);
    expect(error).toMatchObject({ code });
    expect((error as Refusal).message).toMatch(/\S.{10}/);
  });
});

describe('a fault of the program', () => {
  const fault = new TypeError('a fault');
  const failing = new Proxy(
    {},
    {
      get: () => {
        throw fault;
      },
    },
  );

  it('is not reported as a candidate that cannot be played', () => {
    const candidate = { settings: { D1: { type: '1N34A' } }, text: '1N34A' };
    const settings = {
      build: plain,
      refs: ['D1'],
      input: failing,
      around: {},
      temperatureK: NOMINAL_TEMPERATURE_K,
      withSpread: false,
    };
    expect(() => rankCandidate(settings as unknown as RankSettings, failing as never, candidate)).toThrow(
      fault,
    );
  });

  it('is not reported as a file that cannot be read', () => {
    expect(() => systemReason(fault)).toThrow(fault);
    expect(systemReason(thrownBy(() => readAtMost('/no/such/file', 10)))).toBe(
      'there is no such file or folder',
    );
  });

  it('is not reported as a text that is not JSON', () => {
    expect(readJson('{')).toBeUndefined();
    expect(() =>
      readJson({
        replace: () => {
          throw fault;
        },
      } as never),
    ).toThrow(fault);
  });

  it('differs from a refusal by class and code: no catch tests for an error class of the language', () => {
    const sources = ['engine', 'worklets', 'ui']
      .flatMap((folder) =>
        readdirSync(folder, { recursive: true, encoding: 'utf8' }).map((path) => join(folder, path)),
      )
      .filter((path) => path.endsWith('.ts'));
    const looking = sources.filter((path) =>
      /instanceof (TypeError|RangeError|ReferenceError)\b/.test(readFileSync(path, 'utf8')),
    );
    // Node's own reader of options reports problems by a TypeError with a code.
    expect(looking).toEqual(['engine/cli/options.ts']);
  });
});
