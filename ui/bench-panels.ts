import './components/conditions-panel.ts';
import './components/ear/ear-room.ts';
import './components/hands-dialog.ts';
import './components/input-panel.ts';
import './components/live-caution.ts';
import './components/output-panel.ts';
import './components/switch-panel.ts';
import { html } from 'lit';
import { PAGES_WITH_PLOTS } from './bench-pages.ts';
import type { BenchScreen } from './bench-screen.ts';

/** How much of a panel is shown. */
export type Extent = 'whole' | 'brief' | 'rest';

export function inputPanel({ bench, session, telemetry, clips, inputs }: BenchScreen) {
  return html`<input-panel .state=${bench} .audio=${session.state} .telemetry=${telemetry} .clips=${clips.since(telemetry.inputClips)} .inputs=${inputs}></input-panel>`;
}

/** @param extent On a phone only A and B are at hand, and the rest is on a page of its own. */
export function switchPanel({ bench, hands, wanted, telemetry, session }: BenchScreen, extent: Extent) {
  return html`<switch-panel ?data-brief=${extent === 'brief'} ?data-rest=${extent === 'rest'} .state=${bench} .footKey=${hands.footKey} .wanted=${wanted} .telemetry=${telemetry} .roundSeconds=${session.state.roundSeconds}></switch-panel>`;
}

export function outputPanel({ bench, session, telemetry }: BenchScreen, extent: Extent) {
  return html`<output-panel ?data-brief=${extent === 'brief'} ?data-rest=${extent === 'rest'} .state=${bench} .audio=${session.state} .telemetry=${telemetry}></output-panel>`;
}

export function conditionsPanel({ bench, wanted, analysis }: BenchScreen) {
  return html`<conditions-panel .state=${bench} .wanted=${wanted} .pops=${analysis.pops}></conditions-panel>`;
}

export function plotsPanel(screen: BenchScreen) {
  const { bench, analysis, theme, session, isPhone, page, telemetry } = screen;
  const { probeGainDbA, probeGainDbB } = telemetry;
  return html`<plots-panel .state=${bench} .analyser=${analysis.analyser} .theme=${theme} .source=${session}
      .only=${isPhone && page === 'play' ? 'waveform' : undefined} .isShown=${!isPhone || PAGES_WITH_PLOTS.has(page)}
      .gainA=${tenths(probeGainDbA)} .gainB=${tenths(probeGainDbB)}></plots-panel>`;
}

export function earRoom(screen: BenchScreen) {
  const { bench, hands, session, telemetry, theme, dose, isSolverChecked, prepareB } = screen;
  return html`<ear-room .state=${bench} .footKey=${hands.footKey} .audio=${session.state} .telemetry=${telemetry} .theme=${theme} .dose=${dose} .session=${session} .isSolverChecked=${isSolverChecked} .prepareB=${prepareB}></ear-room>`;
}

/** What keys and foot switches open, in every view where they do. */
export function handDialogs({ bench, hands, midi }: BenchScreen) {
  return html`<hands-dialog .state=${bench} .hands=${hands} .midi=${midi}></hands-dialog>
      <live-caution .isListening=${bench.isListening}></live-caution>`;
}

/** Rounded to a tenth, so that it is drawn only if the text changes. */
function tenths(value: number): number {
  return Math.round(10 * value) / 10;
}
