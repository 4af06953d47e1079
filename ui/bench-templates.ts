import './components/build-bar.ts';
import './components/calibration-guide.ts';
import './components/chain-strip.ts';
import './components/controls-panel.ts';
import './components/drop-zones.ts';
import './components/measuring/measured-parts.ts';
import './components/noise-panel.ts';
import './components/notice-bar.ts';
import './components/part-card.ts';
import './components/order-list.ts';
import './components/parts-list.ts';
import './components/player-panel.ts';
import './components/schematic/build-schematic.ts';
import './components/solder/solder-room.ts';
import './components/sound-settings.ts';
import './components/swap-list.ts';
import './share/incoming-dialog.ts';
import './share/share-link-dialog.ts';
import { html, nothing } from 'lit';
import { SLOTS } from '../worklets/bench-messages.ts';
import { LEFT_VIEWS, PAGES, VIEWS } from './bench-pages.ts';
import {
  conditionsPanel,
  type Extent,
  earRoom,
  handDialogs,
  inputPanel,
  outputPanel,
  plotsPanel,
  switchPanel,
} from './bench-panels.ts';
import type { BenchScreen } from './bench-screen.ts';

/** Meters, plots, schematic and lists stay away while a blind test runs. */
export function blindBench(screen: BenchScreen) {
  return html`
      <header class="top"><h1>Cliplead</h1></header>
      <notice-bar .notices=${screen.notices}></notice-bar>
      ${earRoom(screen)}
      <footer>${outputPanel(screen, 'whole')}</footer>
    `;
}

/** The builds, and all that could tell which candidate plays, stay away while its name is hidden. */
export function hidingBench(screen: BenchScreen) {
  const extent = extentOf(screen);
  return html`
      <header class="top"><h1>Cliplead</h1></header>
      <notice-bar .notices=${screen.notices}></notice-bar>
      ${earRoom(screen)}
      <footer>
        ${switchPanel(screen, extent)}
        ${outputPanel(screen, extent)}
      </footer>
      ${handDialogs(screen)}
    `;
}

export function wholeBench(screen: BenchScreen) {
  const { bench, session, telemetry, isPhone } = screen;
  const extent = extentOf(screen);
  const audio = session.state;
  return html`
      ${header(screen)}
      <notice-bar .notices=${screen.notices}></notice-bar>
      ${
        bench.view === 'ear'
          ? html`${earRoom(screen)}<div class="below">${conditionsPanel(screen)}</div>`
          : bench.view === 'solder'
            ? html`<solder-room .state=${bench} .analyser=${screen.analysis.analyser} .log=${screen.log.log} .boards=${screen.boards} .canPutLogBack=${screen.log.canPutBack}></solder-room>`
            : benchView(screen)
      }
      <footer>
        ${isPhone ? nothing : inputPanel(screen)}
        ${switchPanel(screen, extent)}
        ${outputPanel(screen, extent)}
        ${isPhone ? pages(screen) : nothing}
      </footer>
      <calibration-guide .state=${bench} .audio=${audio} .telemetry=${telemetry}></calibration-guide>
      <measured-parts .state=${bench}></measured-parts>
      <sound-settings .state=${bench} .audio=${audio}></sound-settings>
      <drop-zones .builds=${bench.builds}></drop-zones>
      <share-link-dialog></share-link-dialog>
      <incoming-dialog .state=${bench}></incoming-dialog>
      ${handDialogs(screen)}
    `;
}

function extentOf({ isPhone }: BenchScreen): Extent {
  return isPhone ? 'brief' : 'whole';
}

function header(screen: BenchScreen) {
  const { bench, store, theme } = screen;
  return html`<header class="top">
        <div class="name">
          <h1>Cliplead</h1>
          ${views(screen)}
        </div>
        <div class="builds">
          ${SLOTS.map((slot) => html`<build-bar .slotName=${slot} .build=${bench.builds[slot]} .place=${bench.places[slot]}></build-bar>`)}
        </div>
        <div class="tools" data-page=${shownPage(screen)}>
          <button ?disabled=${!store.canUndo} @click=${() => store.act({ type: 'undo' })} title="Ctrl+Z">Undo</button>
          <button ?disabled=${!store.canRedo} @click=${() => store.act({ type: 'redo' })} title="Ctrl+Y">Redo</button>
          <button @click=${() => store.act({ type: 'exchange' })}>Swap sides</button>
          <button @click=${screen.showKeys} title="Keys, foot switches, MIDI (?)">Keys</button>
          <button @click=${screen.turnTheme}>${theme === 'dark' ? 'Light' : 'Dark'}</button>
        </div>
      </header>`;
}

function views({ bench, store }: BenchScreen) {
  return html`<nav aria-label="Views">
      ${VIEWS.map(
        ([view, title]) => html`<button aria-current=${view === bench.view ? 'page' : 'false'}
          @click=${() => store.act({ type: 'view', view })}>${title}</button>`,
      )}
    </nav>`;
}

function pages(screen: BenchScreen) {
  return html`<nav class="pages" aria-label="Pages">
      ${PAGES.map(
        ([page, title]) => html`<button aria-current=${page === shownPage(screen) ? 'page' : 'false'}
          @click=${() => screen.turnTo(page)}>${title}</button>`,
      )}
    </nav>`;
}

function shownPage({ bench, page }: BenchScreen) {
  return bench.view === 'bench' ? page : bench.view;
}

function benchView(screen: BenchScreen) {
  const { bench, analysis, wanted } = screen;
  return html`
      <main data-page=${screen.page}>
        ${screen.isPhone ? onlyOnPhone(screen) : nothing}
        <div class="left">
          <chain-strip .state=${bench}></chain-strip>
          ${leftView(screen)}
          <swap-list .state=${bench}></swap-list>
          <controls-panel .state=${bench} .unity=${analysis.unity} .isFindingUnity=${analysis.isFindingUnity}></controls-panel>
          <div class="below">
            ${conditionsPanel(screen)}
            <noise-panel .state=${bench} .analyser=${analysis.analyser}></noise-panel>
          </div>
        </div>
        <div class="right">
          <section class="sheet"><part-card .state=${bench} .wanted=${wanted} .warnings=${analysis.warnings}></part-card></section>
          <section class="plots">${plotsPanel(screen)}</section>
        </div>
      </main>
    `;
}

function leftView(screen: BenchScreen) {
  const { bench, analysis, wanted } = screen;
  switch (screen.leftView) {
    case 'schematic':
      return html`<build-schematic .state=${bench} .analyser=${analysis.analyser} .warnings=${analysis.warnings[bench.heard]}>${sheets(screen)}</build-schematic>`;
    case 'list':
      return html`${sheets(screen)}<parts-by-stage .state=${bench} .wanted=${wanted}></parts-by-stage>`;
    case 'order':
      return html`${sheets(screen)}<order-list .state=${bench} .analyser=${analysis.analyser}></order-list>`;
  }
}

function sheets({ leftView, showLeft }: BenchScreen) {
  return html`<nav class="sheets" slot="views" aria-label="The build as">
      ${LEFT_VIEWS.map(([view, title]) => html`<button aria-pressed=${leftView === view} @click=${() => showLeft(view)}>${title}</button>`)}
    </nav>`;
}

/** What only a phone has, or has in another place. */
function onlyOnPhone(screen: BenchScreen) {
  const { page, bench, wanted, telemetry } = screen;
  switch (page) {
    case 'play':
      return html`<player-panel .state=${bench} .wanted=${wanted} .telemetry=${telemetry}></player-panel>`;
    case 'sound':
      return [inputPanel(screen), switchPanel(screen, 'rest'), outputPanel(screen, 'rest')];
    default:
      return nothing;
  }
}
