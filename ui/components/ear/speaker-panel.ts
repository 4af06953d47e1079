import { html, nothing } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { bytesInMemory } from '../../../engine/audio/byte-source.ts';
import { wholeChannel } from '../../../engine/audio/recording.ts';
import { openRecording } from '../../../engine/audio/recording-file.ts';
import { speakerResponse } from '../../../engine/audio/speaker.ts';
import { MOST_IMPULSE_RESPONSE_BYTES } from '../../../engine/input/limits.ts';
import { Refusal } from '../../../engine/input/refusal.ts';
import { inLine, oneLine, quoted } from '../../../engine/input/shown-text.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { BenchElement, controlValue } from '../bench-element.ts';
import { segmentStyles } from '../segment-styles.ts';
import { sharedStyles } from '../shared-styles.ts';
import { panelStyles } from './panel-styles.ts';

/** Characters of the file's name for the speaker. */
const SHOWN_NAME_CHARACTERS = 40;

/** The filter for amplifier and speaker: none, the built-in one, or the user's own impulse response. */
@customElement('speaker-panel')
export class SpeakerPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @state() private problem = '';

  static override styles = [sharedStyles, segmentStyles, panelStyles];

  override render() {
    const { hasStandIn, speaker } = this.state;
    const chosen = !hasStandIn ? 'off' : speaker ? 'own' : 'built-in';
    const options = [
      ['off', 'off'],
      ['built-in', 'built in'],
      ['own', speaker?.name ?? 'own file…'],
    ] as const;
    return html`
      <h2>Speaker filter</h2>
      <div class="segments" role="radiogroup" aria-label="Speaker filter">
        ${options.map(
          ([value, text]) =>
            html`<label><input type="radio" name="speaker" value=${value} .checked=${live(value === chosen)} @change=${this.#choose} />${text}</label>`,
        )}
      </div>
      <div class="row small">
        <button @click=${this.#pick}>Impulse response…</button>
        <input type="file" hidden accept=".wav,.flac,audio/*" @change=${this.#open} />
      </div>
      ${this.problem === '' ? nothing : html`<p class="problem small" role="alert">${this.problem}</p>`}
      <p class="soft small">Built in: 75 Hz to 4.8 kHz with a lift at 2.8 kHz, a small amplifier and its speaker. A response of your own is set
        equally loud from 100 Hz to 5 kHz. It comes before the level match, so both builds are matched through it. The
        demo recordings may include an amplifier: two speakers in a row sound dull.</p>
    `;
  }

  #choose = (event: Event): void => {
    const value = controlValue(event);
    if (value === 'off') this.act({ type: 'standIn', hasStandIn: false });
    else if (value === 'built-in') this.act({ type: 'speaker', speaker: undefined });
    else if (this.state.speaker) this.act({ type: 'standIn', hasStandIn: true });
    else this.#pick();
    this.requestUpdate();
  };

  #pick = (): void => {
    this.renderRoot.querySelector<HTMLInputElement>('input[type="file"]')?.click();
  };

  #open = (event: Event): void => {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    input.value = '';
    if (file) void this.load(file);
  };

  /** Loads a file as the speaker; if it is not valid, says why and keeps the old one. */
  async load(file: File): Promise<void> {
    try {
      if (file.size > MOST_IMPULSE_RESPONSE_BYTES)
        throw new Refusal('recording', 'it is far too long for an impulse response');
      const recording = openRecording(bytesInMemory(await bytesOf(file)));
      const samples = wholeChannel(recording, 0);
      const { sampleRateHz, warnings } = recording;
      // An unusable response is reported here, not in the audio thread.
      speakerResponse(samples, sampleRateHz, sampleRateHz);
      this.problem = warnings.length > 0 ? oneLine(`${quoted(file.name)}: ${warnings.join(' ')}`) : '';
      const name = inLine(file.name.replace(/\.[^.]*$/, ''), SHOWN_NAME_CHARACTERS);
      this.act({ type: 'speaker', speaker: { name, samples, sampleRateHz } });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.problem = oneLine(`${quoted(file.name)} was not loaded: ${error.message}.`);
    }
  }
}

/** @throws Refusal for something that cannot be read, such as a folder or a deleted file. */
async function bytesOf(file: File): Promise<Uint8Array> {
  try {
    return new Uint8Array(await file.arrayBuffer());
  } catch (error) {
    if (error instanceof DOMException) throw new Refusal('file', 'it cannot be read');
    throw error;
  }
}
