import cableUrl from './loop-cable.worklet.ts?worklet';

/** An input device that a test controls. */
export interface FakeInput {
  readonly stream: MediaStream;
  readonly track: MediaStreamTrack;
  /** As when the cable is pulled: the browser ends the track and sends the event. */
  unplug(): void;
  close(): void;
}

export interface FakeInputOptions {
  /** Peak of a tone of 200 Hz on each channel, in units of full scale. */
  readonly left?: number;
  readonly right?: number;
  /** The browser's report of the settings that it used. */
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
      // The browser sends this event only for tracks that it ends itself. Firefox gives an event made by a page to
      // `onended` but not to listeners.
      track.dispatchEvent(new Event('ended'));
    },
    close: () => void context.close(),
  };
}

/** Replaces the browser's `getUserMedia`. Returns a function that restores it. */
export function stubInputs(
  getUserMedia: (constraints: MediaStreamConstraints) => Promise<MediaStream>,
): () => void {
  Object.defineProperty(navigator.mediaDevices, 'getUserMedia', { value: getUserMedia, configurable: true });
  return () => Reflect.deleteProperty(navigator.mediaDevices, 'getUserMedia');
}

/** A cable from output to input: the output returns as input after a delay, with the same samples. */
export interface LoopCable {
  /** Removes the cable and restores the browser's functions. */
  unplug(): void;
}

/**
 * Connects output and input of the next AudioContext, with a delay that is exact to the sample: what is
 * connected to its destination afterwards also comes out of the source of every stream.
 *
 * @param delaySamples At least a block. @param gain 0 for a cable that is not connected; clips at full scale.
 */
export function loopCable(delaySamples: number, gain: number): LoopCable {
  const Native = globalThis.AudioContext;
  const { connect } = AudioNode.prototype;
  globalThis.AudioContext = class extends Native {
    constructor(options?: AudioContextOptions) {
      super(options);
      const { audioWorklet, destination } = this;
      const addModule = audioWorklet.addModule.bind(audioWorklet);
      audioWorklet.addModule = async (url) => {
        await addModule(cableUrl);
        await addModule(url);
      };
      this.createMediaStreamSource = () => {
        const processorOptions = { delaySamples, gain };
        const start = new AudioWorkletNode(this, 'test-cable-start', { numberOfInputs: 0, processorOptions });
        const end: AudioNode = new AudioWorkletNode(this, 'test-cable-end', { numberOfOutputs: 0 });
        AudioNode.prototype.connect = function (this: AudioNode, ...to: unknown[]) {
          if (to[0] === destination) Reflect.apply(connect, this, [end]);
          return Reflect.apply(connect, this, to);
        } as typeof connect;
        return start as unknown as MediaStreamAudioSourceNode;
      };
    }
  };
  return {
    unplug: () => {
      globalThis.AudioContext = Native;
      AudioNode.prototype.connect = connect;
    },
  };
}
