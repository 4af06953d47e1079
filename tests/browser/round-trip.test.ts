import { assert } from 'chai';
import { AudioSession } from '../../ui/audio/audio-session.ts';
import { measuredPathMs } from '../../ui/audio/measured-round-trip.ts';
import { type FakeInput, fakeInput, type LoopCable, loopCable, stubInputs } from './fake-input.ts';

/** Not a whole number of blocks, so that a lost or added block would show. */
const DELAY_SAMPLES = 1000;

describe('the round trip, measured with a cable', () => {
  let session: AudioSession;
  let input: FakeInput;
  let cable: LoopCable | undefined;
  let restore = () => {};

  beforeEach(() => {
    session = new AudioSession();
    input = fakeInput({});
    restore = stubInputs(async () => input.stream.clone());
  });

  afterEach(async () => {
    await session.stop();
    restore();
    cable?.unplug();
    cable = undefined;
    input.close();
  });

  async function measure(gain: number) {
    cable = loopCable(DELAY_SAMPLES, gain);
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    await session.measureRoundTrip();
    const { roundTrip, isMeasuringRoundTrip } = session.state;
    assert.isFalse(isMeasuringRoundTrip);
    if (!roundTrip) return assert.fail(JSON.stringify(session.state.problems));
    return roundTrip;
  }

  it('is that of the loop, to the sample', async () => {
    const { result, sampleRateHz } = await measure(0.5);
    assert.equal(result.verdict, 'clear');
    assert.closeTo(result.delaySamples, DELAY_SAMPLES, 0.01);
    assert.closeTo(result.returnedDb, -30, 0.1);
    assert.isFalse(result.isInverted);
    assert.closeTo(measuredPathMs(session.state) ?? 0, (1000 * DELAY_SAMPLES) / sampleRateHz, 0.001);
  });

  it('is found in a loop that inverts the signal', async () => {
    const { result } = await measure(-0.1);
    assert.equal(result.verdict, 'clear');
    assert.isTrue(result.isInverted);
    assert.closeTo(result.delaySamples, DELAY_SAMPLES, 0.01);
  });

  it('is reported as not returned if no cable is connected', async () => {
    assert.equal((await measure(0)).result.verdict, 'silent');
    assert.isUndefined(measuredPathMs(session.state));
  });

  it('is reported as clipped if the input reaches full scale', async () => {
    assert.equal((await measure(20)).result.verdict, 'clipped');
  });

  it('is not measured while the builds play: with the cable connected they would howl', async () => {
    cable = loopCable(DELAY_SAMPLES, 0.5);
    await session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    session.setMuted(false);
    await session.measureRoundTrip();
    assert.isUndefined(session.state.roundTrip);
  });

  it('is removed when devices are connected or removed, and is not valid for another source', async () => {
    await measure(0.5);
    assert.isDefined(measuredPathMs(session.state));
    await session.useSource({ kind: 'string' });
    assert.isUndefined(measuredPathMs(session.state));
    navigator.mediaDevices.dispatchEvent(new Event('devicechange'));
    assert.isUndefined(session.state.roundTrip);
  });
});
