import { afterEach, describe, expect, it, vi } from 'vitest';
import {
  canChooseOutput,
  keepDevice,
  keptDevice,
  listOutputs,
  playTo,
  unlistedInputs,
} from '../../ui/audio/kept-devices.ts';
import { keptTexts } from '../../ui/storage/kept-texts.ts';

const INTERFACE = { id: 'abc', label: 'Interface, outputs 1 and 2' };

afterEach(() => {
  vi.unstubAllGlobals();
  keptTexts.keep('output-device', undefined);
});

/** A context of a browser that plays to any output, or fails. */
function context(fail?: DOMException) {
  const ids: string[] = [];
  const setSinkId = async (id: string) => {
    if (fail) throw fail;
    ids.push(id);
  };
  return { ids, context: { setSinkId } as unknown as AudioContext };
}

describe('the output that was chosen', () => {
  it('plays, and the system’s again once none is chosen', async () => {
    const { ids, context: sound } = context();
    expect([await playTo(sound, INTERFACE, undefined), await playTo(sound, undefined, INTERFACE)]).toEqual([
      undefined,
      undefined,
    ]);
    expect(ids).toEqual(['abc', '']);
  });

  it('is named with what is wrong where it cannot be had', async () => {
    const gone = context(new DOMException('', 'NotFoundError'));
    expect(await playTo(gone.context, INTERFACE, undefined)).toMatch(
      /^The output "Interface, outputs 1 and 2" is not there\. The sound goes to the system’s output\. .*Sound…$/,
    );
    const refused = context(new DOMException('no', 'NotAllowedError'));
    expect(await playTo(refused.context, undefined, INTERFACE)).toMatch(
      /^The system’s output cannot be used \(no\)\. The sound goes to "Interface, outputs 1 and 2"\./,
    );
  });

  it('is not offered where the browser plays to the system’s output only', async () => {
    vi.stubGlobal('AudioContext', class {});
    expect(canChooseOutput()).toBe(false);
    expect(await playTo({} as AudioContext, INTERFACE, undefined)).toBeUndefined();
    vi.stubGlobal(
      'AudioContext',
      class {
        setSinkId() {}
      },
    );
    expect(canChooseOutput()).toBe(true);
  });

  it('is one of those that the browser names, which it does after an input was allowed', async () => {
    const devices = [
      { kind: 'audiooutput', deviceId: '', label: '' },
      { kind: 'audioinput', deviceId: 'abc', label: 'Interface' },
      { kind: 'audiooutput', deviceId: 'abc', label: INTERFACE.label },
    ];
    vi.stubGlobal('navigator', { mediaDevices: { enumerateDevices: async () => devices } });
    expect(await listOutputs()).toEqual([INTERFACE]);
  });

  it('comes back on the next visit, and is the system’s where what was kept is damaged', () => {
    keepDevice('output-device', INTERFACE);
    expect(keptDevice('output-device')).toEqual(INTERFACE);
    for (const kept of ['{', '7', '{"id":3,"label":"x"}', '{"id":"x","label":""}']) {
      keptTexts.keep('output-device', kept);
      expect(keptDevice('output-device')).toBeUndefined();
    }
  });
});

describe('live inputs that the browser does not list', () => {
  const OPEN = { id: '', label: 'Open an input…' };
  const OTHER = { id: 'def', label: 'Other' };

  it('are that of the last visit, which may be gone, and any, until the browser names inputs', () => {
    const last = { id: 'abc', label: `${INTERFACE.label} (last input)` };
    expect(unlistedInputs([], undefined, undefined)).toEqual([OPEN]);
    expect(unlistedInputs([], undefined, INTERFACE)).toEqual([last, OPEN]);
    expect(unlistedInputs([], 'abc', INTERFACE)).toEqual([last, OPEN]);
    expect(unlistedInputs([OTHER], undefined, INTERFACE)).toEqual([]);
  });

  it('are the chosen one, so that the menu shows what is chosen', () => {
    expect(unlistedInputs([OTHER], '', INTERFACE)).toEqual([OPEN]);
    expect(unlistedInputs([OTHER], 'gone', undefined).map(({ id }) => id)).toEqual(['gone']);
    expect(unlistedInputs([OTHER], 'def', undefined)).toEqual([]);
  });
});
