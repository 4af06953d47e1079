import { css } from 'lit';

export const plotsStyles = css`
  :host {
    container-type: inline-size;
    --plot-height: clamp(7.5rem, 20vh, 13rem);
  }
  /* A low window: the card above it has to be in sight too. */
  @media (max-height: 700px) {
    :host {
      --plot-height: 7.75rem;
    }
  }
  @media (min-width: 741px) and (max-width: 900px) {
    :host {
      --plot-height: clamp(7.5rem, 20vh, 10.5rem);
    }
  }
  /* Room for large plots. */
  @media (min-width: 1700px) and (min-height: 1000px) {
    :host {
      --plot-height: 38vh;
    }
  }
  .room:popover-open {
    position: fixed;
    inset: 0;
    box-sizing: border-box;
    width: 100vw;
    height: 100vh;
    margin: 0;
    padding: var(--gap-4);
    overflow: auto;
    color: var(--ink);
    background: var(--paper);
    border: 0;
    --plot-height: max(12rem, calc(100vh - 12rem));
  }
  .head {
    display: flex;
    gap: var(--gap-2);
    align-items: center;
    margin-bottom: var(--gap-1);
    border-bottom: 1px solid var(--line);
  }
  .enlarge {
    flex: none;
    min-width: 1.75rem;
    min-height: 1.75rem;
    margin-left: auto;
    padding: 0;
    background: transparent;
    border: 0;
  }
  .settings {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    justify-content: space-between;
    gap: var(--gap-1) var(--gap-4);
    margin-bottom: var(--gap-1);
  }
  [hidden] {
    display: none !important;
  }
  .settings:empty {
    display: none;
  }
  .test {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: var(--gap-1) var(--gap-2);
  }
  .test input {
    width: 4.5rem;
    min-height: 1.75rem;
    font-variant-numeric: tabular-nums;
  }
  .panes {
    display: grid;
    grid-auto-flow: column;
    grid-auto-columns: minmax(0, 1fr);
    gap: var(--gap-6);
  }
  .tabs {
    display: flex;
    flex: 0 1 auto;
    flex-wrap: wrap;
    min-width: 0;
  }
  .tabs button {
    flex: none;
    min-height: 1.75rem;
    padding: 0 var(--gap-2);
    font-size: var(--size-small);
    color: var(--ink-soft);
    background: transparent;
    border: 0;
    border-bottom: 2px solid transparent;
    border-radius: 0;
  }
  /* In one line as long as that is possible, since a second one takes height from the plot. */
  @container (max-width: 30rem) {
    .head {
      gap: 0;
    }
    .tabs {
      flex: 1;
      gap: 0 0.2rem;
      justify-content: space-between;
    }
    .tabs button {
      padding: 0;
    }
  }
  @container (max-width: 23rem) {
    .tabs button {
      font-size: 0.75rem;
    }
  }
  @media (pointer: coarse), (max-width: 740px) {
    .enlarge {
      min-width: 44px;
    }
  }
  .tabs button:focus-visible {
    outline-offset: -2px;
  }
  .tabs button[aria-selected='true'] {
    color: var(--ink);
    font-weight: 600;
    border-bottom-color: var(--ink);
  }
`;
