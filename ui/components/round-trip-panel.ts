import { css, html, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { ROUND_TRIP_LEVEL_DB } from '../../engine/analysis/round-trip.ts';
import type { AudioState } from '../audio/audio-state.ts';
import { roundTripSentences } from '../audio/measured-round-trip.ts';
import type { BenchState } from '../state/bench-state.ts';
import { BenchElement } from './bench-element.ts';
import { sharedStyles } from './shared-styles.ts';

/** Measures the delay from output to input with a cable between the two. */
@customElement('round-trip-panel')
export class RoundTripPanel extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  @property({ attribute: false }) audio!: AudioState;

  static override styles = [
    sharedStyles,
    css`
      ol {
        padding: 0;
      }
      li {
        margin: 0 0 var(--gap-2) 1.2rem;
      }
      h3 {
        margin: 0 0 var(--gap-2);
      }
      p {
        margin-top: var(--gap-2);
      }
    `,
  ];

  override render() {
    const { isListening } = this.state;
    const { isMeasuringRoundTrip } = this.audio;
    const hindrance = this.#hindrance();
    return html`
      <h3>Delay, measured with a cable</h3>
      <ol class="small">
        <li><strong>Mute first:</strong> with the cable in, a build that plays hears itself and howls at full level.
          ${isListening ? html`<button @click=${() => this.act({ type: 'listen', isListening: false })}>Mute</button>` : 'It is muted.'}</li>
        <li>Take the headphones off and unplug them, and switch off amplifier and speakers: ${-ROUND_TRIP_LEVEL_DB} dB below
          full scale, the test is a loud hiss of a second and a half.</li>
        <li>Put a cable from an output of the interface into the input that is chosen, and direct monitoring off.</li>
        <li><button ?disabled=${hindrance !== undefined} @click=${() => this.act({ type: 'measureRoundTrip' })}>Measure the delay</button>
          ${hindrance === undefined ? nothing : html`<span class="soft">${hindrance}</span>`}</li>
        <li>Take the cable out again before you press Listen.</li>
      </ol>
      <p role="status">${isMeasuringRoundTrip ? 'Measuring…' : this.#resultText()}</p>
    `;
  }

  /** Why it cannot be measured now; undefined where it can. */
  #hindrance(): string | undefined {
    const { source, usesFallback, isMeasuringRoundTrip } = this.audio;
    if (usesFallback) return 'This browser has no AudioWorklet, which is needed here.';
    if (source.kind !== 'live') return 'Choose a live instrument’s input first.';
    if (this.state.isListening) return 'Mute first.';
    return isMeasuringRoundTrip ? '' : undefined;
  }

  #resultText(): string {
    const { roundTrip, latency } = this.audio;
    return roundTrip ? roundTripSentences(roundTrip, latency.engineMs) : 'Not measured yet.';
  }
}
