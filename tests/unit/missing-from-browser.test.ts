import { afterEach, describe, expect, it, vi } from 'vitest';
import { openLiveInput } from '../../ui/audio/live-input.ts';
import { ScopeInbox } from '../../ui/audio/scope-inbox.ts';
import { StartWatch } from '../../ui/audio/start-watch.ts';
import { TelemetryInbox } from '../../ui/audio/telemetry.ts';
import { languageTag } from '../../ui/language-tag.ts';
import { TELEMETRY, TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';

afterEach(() => {
  vi.unstubAllGlobals();
  vi.useRealTimers();
});

describe('a browser that reports isolation but has no shared memory, such as WebKitGTK', () => {
  it('gets telemetry and scope frames by messages', () => {
    vi.stubGlobal('crossOriginIsolated', true);
    vi.stubGlobal('SharedArrayBuffer', undefined);
    const telemetry = new TelemetryInbox();
    expect(telemetry.shared).toBeUndefined();
    const values = new Float32Array(TELEMETRY_LENGTH);
    values[TELEMETRY.load] = 0.5;
    telemetry.receive(values);
    expect(telemetry.read(0).load).toBe(0.5);
    const scope = new ScopeInbox();
    expect(scope.shared).toBeUndefined();
    scope.receive(values);
    expect(scope.read()).toBe(values);
  });
});

describe('an input that is refused with an unusual kind of error', () => {
  // WebKit's OverconstrainedError has a name and a message, but is neither a DOMException nor an Error.
  const refuse = () =>
    vi.stubGlobal('navigator', {
      mediaDevices: {
        getUserMedia: () =>
          Promise.reject({ name: 'OverconstrainedError', message: 'Invalid constraint', constraint: '' }),
      },
    });

  it('is reported as removed, if a certain input was asked for', async () => {
    refuse();
    await expect(openLiveInput('the-interface', () => {})).rejects.toThrow(
      /^That input is no longer there\. Connect it again/,
    );
  });

  it('is reported as missing, if any input was asked for', async () => {
    refuse();
    await expect(openLiveInput('', () => {})).rejects.toThrow(/^No input was found\. Connect/);
  });
});

describe('the language of numbers', () => {
  // "C" is the locale of POSIX, and not a language tag of BCP 47: its first part has two to eight letters.
  it.each([
    ['C', 'en'],
    ['', 'en'],
    ['de-CH', 'de-CH'],
  ])('is, where the browser says "%s", "%s"', (browsers, expected) => {
    const tag = languageTag(browsers, 'en');
    expect(tag).toBe(expected);
    expect(new Intl.NumberFormat(tag).format(1)).toBe('1');
  });
});

describe('sound that was started but does not begin', () => {
  it('is reported after some seconds, with what to do', () => {
    vi.useFakeTimers();
    vi.stubGlobal('navigator', { userActivation: { hasBeenActive: true } });
    const watch = new StartWatch();
    const told: string[] = [];
    watch.begin((reason) => told.push(reason));
    expect(watch.isOverdue).toBe(false);
    vi.advanceTimersByTime(10_000);
    expect(told).toHaveLength(1);
    expect(told[0]).toMatch(/there is no output, or another program holds it\. Connect/);
    expect(watch.isOverdue).toBe(true);
  });

  it('is explained by the browser’s need for a click, where there was none', () => {
    vi.useFakeTimers();
    vi.stubGlobal('navigator', { userActivation: { hasBeenActive: false } });
    const watch = new StartWatch();
    const told: string[] = [];
    watch.begin((reason) => told.push(reason));
    vi.advanceTimersByTime(10_000);
    expect(told[0]).toMatch(/waits for a click/);
  });

  it('is not reported once it has begun', () => {
    vi.useFakeTimers();
    const watch = new StartWatch();
    const told: string[] = [];
    watch.begin((reason) => told.push(reason));
    watch.end();
    vi.advanceTimersByTime(10_000);
    expect(told).toEqual([]);
  });
});
