/** An input device that tests have in hand. */
export interface FakeInput {
  readonly stream: MediaStream;
  readonly track: MediaStreamTrack;
  /** As when the cable is pulled: the browser ends the track and says so. */
  unplug(): void;
  close(): void;
}

export interface FakeInputOptions {
  /** Peak of a tone of 200 Hz on each channel, in units of full scale. */
  readonly left?: number;
  readonly right?: number;
  /** What the browser says that it made of the request. */
  readonly settings?: MediaTrackSettings;
}

export function fakeInput({ left = 0, right = 0, settings }: FakeInputOptions): FakeInput {
  const context = new AudioContext();
  const destination = new MediaStreamAudioDestinationNode(context, { channelCount: 2 });
  const merger = new ChannelMergerNode(context, { numberOfInputs: 2 });
  const tone = new OscillatorNode(context, { frequency: 200 });
  [left, right].forEach((gain, channel) => {
    tone.connect(new GainNode(context, { gain })).connect(merger, 0, channel);
  });
  merger.connect(destination);
  tone.start();
  const { stream } = destination;
  const track = stream.getAudioTracks()[0]!;
  if (settings) track.getSettings = () => settings;
  return {
    stream,
    track,
    unplug: () => {
      track.stop();
      // The browser keeps this event for tracks that end of themselves.
      track.dispatchEvent(new Event('ended'));
    },
    close: () => void context.close(),
  };
}

/** Puts `getUserMedia` in the browser's place. Returns what takes it back. */
export function stubInputs(
  getUserMedia: (constraints: MediaStreamConstraints) => Promise<MediaStream>,
): () => void {
  Object.defineProperty(navigator.mediaDevices, 'getUserMedia', { value: getUserMedia, configurable: true });
  return () => Reflect.deleteProperty(navigator.mediaDevices, 'getUserMedia');
}
