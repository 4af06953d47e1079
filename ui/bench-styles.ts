import { css } from 'lit';

/** The bench's own layout: builds above, parts left, card and plot right, the strip with A and B below. */
export const benchStyles = css`
  :host {
    --footer-height: 8.25rem;
    height: 100dvh;
    display: flex;
    flex-direction: column;
  }
  .top {
    display: grid;
    grid-template-columns: auto 1fr auto;
    gap: var(--gap-2) var(--gap-6);
    align-items: start;
    padding: var(--gap-2) var(--gap-6);
    background: var(--sheet);
    border-bottom: 1px solid var(--line);
  }
  h1 {
    margin: 0;
    font-size: 1.375rem;
    line-height: 2rem;
    font-weight: 600;
    letter-spacing: -0.02em;
  }
  .name {
    display: flex;
    align-items: baseline;
    gap: var(--gap-4);
  }
  nav {
    display: flex;
    gap: var(--gap-1);
  }
  nav button {
    padding: 0 var(--gap-1);
    background: none;
    border: 0;
    border-bottom: 3px solid transparent;
    border-radius: 0;
  }
  nav button[aria-current='page'] {
    border-bottom-color: var(--ink);
    font-weight: 600;
  }
  .builds {
    display: grid;
    grid-template-columns: 1fr 1fr;
    gap: var(--gap-2) var(--gap-6);
    min-width: 0;
  }
  .tools {
    display: flex;
    gap: var(--gap-1);
    justify-content: flex-end;
  }
  .tools button {
    font-size: var(--size-small);
  }
  main {
    display: grid;
    /* Room for two plots where the window is wide. */
    grid-template-columns: minmax(0, 1fr) clamp(24rem, 30vw, 30rem);
    flex: 1;
    min-height: 0;
    width: 100%;
  }
  .left,
  .right {
    position: relative;
    display: flex;
    flex-direction: column;
    gap: var(--gap-3);
    min-width: 0;
    min-height: 0;
    overflow-y: auto;
    scrollbar-width: thin;
    scrollbar-color: var(--track) transparent;
    padding: var(--gap-3) var(--gap-6);
  }
  build-schematic {
    flex: 1;
    min-height: 20rem;
  }
  parts-by-stage,
  order-list {
    flex: 1;
    min-height: 16rem;
    overflow-y: auto;
  }
  /* Below the controls: one line. What opens from it stands above it. */
  .below {
    position: relative;
    display: flex;
    flex: none;
    gap: var(--gap-3);
    align-items: center;
    justify-content: space-between;
  }
  .below conditions-panel {
    flex: 1;
  }
  ear-room + .below {
    padding: 0 var(--gap-6);
    border-top: 1px solid var(--line);
  }
  .sheets {
    display: flex;
    flex: none;
    gap: var(--gap-1);
  }
  .sheets button {
    white-space: nowrap;
    font-size: var(--size-small);
    min-height: 1.75rem;
  }
  .right {
    border-left: 1px solid var(--line);
  }
  /* The card scrolls by itself, so that the plots stay in sight. */
  .right > .sheet {
    flex: 0 1 auto;
    min-height: 10rem;
    overflow-y: auto;
    scrollbar-width: thin;
  }
  .right > .plots {
    flex: none;
  }
  /* The place of the plots, which come later. */
  plots-panel:not(:defined) {
    display: block;
    min-height: 16rem;
  }
  .sheet {
    background: var(--sheet);
    border: 1px solid var(--line);
    border-radius: var(--radius);
    padding: var(--gap-3) var(--gap-4);
  }
  @media (min-width: 1700px) {
    main {
      grid-template-columns: minmax(0, 1fr) 54rem;
    }
  }
  /* Of one height, whatever is to be said in it: a hand on its buttons finds them where they were. */
  footer {
    display: grid;
    flex: none;
    grid-template-columns: minmax(0, 1fr) minmax(14rem, 23rem) minmax(0, 1fr);
    grid-template-rows: minmax(0, 1fr);
    gap: var(--gap-4);
    box-sizing: border-box;
    height: var(--footer-height);
    padding: var(--gap-1) calc(var(--gap-6) - 4px);
    background: var(--sheet);
    border-top: 1px solid var(--line-strong);
  }
  /* Room for the outline of what has the focus. */
  footer > * {
    padding: 4px;
    min-width: 0;
    overflow: hidden auto;
    scrollbar-width: thin;
  }
  @media (max-width: 1150px) {
    .top,
    .left,
    .right,
    ear-room + .below {
      padding-left: var(--gap-4);
      padding-right: var(--gap-4);
    }
    .top {
      grid-template-columns: 1fr auto;
    }
    .builds {
      grid-column: 1 / -1;
      grid-row: 2;
    }
    main {
      grid-template-columns: minmax(0, 1fr) 25rem;
    }
    footer {
      gap: var(--gap-3);
      grid-template-columns: minmax(0, 1fr) 22.5rem minmax(0, 1fr);
      padding-left: calc(var(--gap-4) - 4px);
      padding-right: calc(var(--gap-4) - 4px);
    }
  }
  /* A tablet held upright: what stands in a row elsewhere wraps. */
  @media (min-width: 741px) and (max-width: 900px) {
    :host {
      --footer-height: 10.5rem;
    }
    main {
      grid-template-columns: minmax(0, 1fr) 23rem;
    }
    footer {
      grid-template-columns: minmax(0, 1fr) 15rem minmax(0, 1fr);
    }
  }
  .pages {
    display: none;
  }
  /* A phone: one page at a time, and below it what is always at hand. */
  @media (max-width: 740px) {
    :host {
      --footer-height: 7rem;
    }
    .top {
      grid-template-columns: minmax(0, 1fr);
      gap: 0;
    }
    .name,
    .tools:not([data-page='play']) {
      display: none;
    }
    .top:has(h1:only-child) h1 {
      line-height: 2.75rem;
    }
    .builds {
      grid-row: 1;
      grid-template-columns: minmax(0, 1fr);
      gap: 0;
    }
    .tools {
      grid-row: 2;
      justify-content: space-between;
      overflow-x: auto;
    }
    .tools button {
      padding: 0 0.35rem;
    }
    main {
      display: flex;
      flex-direction: column;
      gap: var(--gap-3);
      box-sizing: border-box;
      padding: var(--gap-2) var(--gap-4);
      overflow: hidden auto;
    }
    .left,
    .right {
      display: contents;
    }
    main > *,
    .right > .sheet,
    .right > .plots {
      flex: none;
      min-height: 0;
    }
    main[data-page='circuit'] build-schematic {
      flex: 1 0 20rem;
    }
    .right > .sheet {
      overflow: visible;
    }
    main:not([data-page='circuit'], [data-page='part'], [data-page='controls']) chain-strip,
    main:not([data-page='circuit']) :is(build-schematic, parts-by-stage, order-list, .sheets, swap-list),
    main:not([data-page='part']) .right > .sheet,
    main:not([data-page='controls']) :is(controls-panel, .below),
    main:not([data-page='plots'], [data-page='play']) .right > .plots {
      display: none;
    }
    .below {
      flex-direction: column;
      align-items: stretch;
    }
    footer {
      grid-template-columns: minmax(0, 2fr) minmax(0, 1fr);
      grid-template-rows: minmax(0, 1fr) auto;
      gap: 0 var(--gap-2);
      padding: 0 calc(var(--gap-3) - 4px);
    }
    footer:not(:has(switch-panel)) {
      grid-template-columns: minmax(0, 1fr);
      grid-template-rows: minmax(0, 1fr);
    }
    footer .pages {
      grid-column: 1 / -1;
      display: flex;
      gap: 0;
      justify-content: space-between;
      margin: 0 calc(4px - var(--gap-3));
      padding: 0 2px;
      overflow: auto hidden;
      border-top: 1px solid var(--line);
    }
    .pages button {
      flex: 1 0 auto;
      min-height: 44px;
      min-width: 44px;
      padding: 0 2px;
      font-size: 0.8125rem;
    }
  }
  /* Wide and low, such as a laptop's window at 200 %. */
  @media (min-width: 560px) and (max-width: 740px) {
    .builds {
      grid-template-columns: minmax(0, 1fr) minmax(0, 1fr);
      gap: var(--gap-3);
    }
  }
  @media (min-width: 1200px) and (max-height: 860px) {
    main {
      grid-template-columns: minmax(0, 1fr) 31rem;
    }
  }
  /* A low window: everything around the sheet is drawn tighter, so that the sheet has half of the height. */
  @media (min-width: 1151px) and (max-height: 860px) {
    :host {
      --footer-height: 6.25rem;
    }
    footer {
      padding-top: 0;
      padding-bottom: 0;
    }
  }
  @media (min-width: 741px) and (max-height: 860px) {
    .top {
      row-gap: 0;
      padding-top: var(--gap-1);
      padding-bottom: var(--gap-1);
    }
    .left,
    .right {
      gap: var(--gap-2);
      padding-top: var(--gap-2);
      padding-bottom: var(--gap-2);
    }
    .sheet {
      padding: var(--gap-2) var(--gap-3);
    }
    build-schematic,
    order-list,
    parts-by-stage {
      min-height: 14rem;
    }
  }
  /* Buttons for a finger are higher: see the shared styles. */
  @media (pointer: coarse) and (min-width: 901px) {
    :host {
      --footer-height: 9.5rem;
    }
    footer {
      grid-template-columns: minmax(0, 1fr) 25.5rem minmax(0, 1fr);
    }
  }
  @media (pointer: coarse) and (min-width: 741px) and (max-width: 900px) {
    :host {
      --footer-height: 13.5rem;
    }
  }
  @media print {
    .top,
    .right,
    .sheets,
    chain-strip,
    swap-list,
    .below,
    controls-panel,
    footer {
      display: none;
    }
    :host,
    main,
    .left {
      display: block;
      height: auto;
      overflow: visible;
      padding: 0;
    }
  }
`;
