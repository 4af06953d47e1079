import { describe, expect, it } from 'vitest';
import { delayRemedies, delaySentences, delayVerdict, playedDelay } from '../../ui/audio/delay-verdict.ts';

// As the browsers send them, with other version numbers.
const FIREFOX_LINUX = 'Mozilla/5.0 (X11; Linux x86_64; rv:153.0) Gecko/20100101 Firefox/153.0';
const CHROME_WINDOWS =
  'Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/156.0.0.0 Safari/537.36';
const SAFARI =
  'Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/26.0 Safari/605.1.15';
const ANDROID =
  'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/156.0.0.0 Mobile Safari/537.36';

const FACTS = { label: 'Interface', sampleRateHz: 48_000, channelCount: 2, keptOn: [] };

describe('the delay', () => {
  it('is good under 10 ms, playable under 20 ms, and too long from there', () => {
    expect([0, 9.9, 10, 19.9, 20, 80].map(delayVerdict)).toEqual([
      'good',
      'good',
      'playable',
      'playable',
      'too long',
      'too long',
    ]);
  });

  it('is judged only for a live input, and an estimate, which lacks the interface, only where it is too long', () => {
    const of = (baseMs: number, outputMs: number | undefined, isLive = true) =>
      playedDelay({
        input: isLive ? FACTS : undefined,
        sampleRateHz: 48_000,
        latency: { baseMs, outputMs, engineMs: 1 },
        roundTrip: undefined,
      }).verdict;
    expect([of(5, undefined), of(15, undefined), of(25, undefined)]).toEqual([
      undefined,
      undefined,
      'too long',
    ]);
    expect([of(2, 3), of(2, 12), of(2, 22)]).toEqual([undefined, undefined, 'too long']);
    expect([of(2, 3, false), of(2, 22, false)]).toEqual([undefined, undefined]);
  });

  it('is said to be estimated, with what is missing, until it was measured with a cable', () => {
    const latency = { baseMs: 5.8, outputMs: 17.2, engineMs: 1.1 };
    const sound = { input: FACTS, sampleRateHz: 48_000, latency, roundTrip: undefined };
    expect(delaySentences(sound)).toBe(
      'At least 24.1 ms: too long. Estimated: browser 5.8, output 17.2, circuit 1.1 ms. The input of the interface is not included: measure below.',
    );
    const result = {
      verdict: 'clear',
      delaySamples: 384,
      returnedDb: -6,
      isInverted: false,
      clearanceDb: 40,
    } as const;
    const roundTrip = { result, inputLabel: 'Interface', sampleRateHz: 48_000, baseMs: 5.8 };
    // 384 samples at 48 kHz are 8 ms.
    expect(delaySentences({ ...sound, roundTrip })).toBe(
      '9.1 ms: good. Measured with a cable, from string to ear.',
    );
  });

  it('comes with what to change in this browser on this system, and nothing for another', () => {
    const told = (userAgent: string) => delayRemedies({ userAgent }).join(' ');
    expect(told(FIREFOX_LINUX)).toMatch(/PipeWire.*Try Chromium/);
    expect(told(CHROME_WINDOWS)).toMatch(/control panel of the interface’s driver/);
    expect(told(CHROME_WINDOWS)).not.toMatch(/Try Chromium|PipeWire/);
    expect(told(SAFARI)).toMatch(/audio and MIDI settings.*Try Chromium/);
    expect(told(ANDROID)).toMatch(/Use a computer/);
    expect(told(ANDROID)).not.toContain('PipeWire');
    for (const agent of [FIREFOX_LINUX, CHROME_WINDOWS, SAFARI, ANDROID, ''])
      expect(told(agent)).toMatch(/^Use headphones with a cable/);
  });
});
