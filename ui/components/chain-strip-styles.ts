import { css } from 'lit';

/** Look of the chains above the sheet: pedals as boxes, cables as lines between them. */
export const chainStripStyles = css`
  :host {
    display: grid;
    gap: var(--gap-1);
    flex: none;
    min-width: 0;
  }
  :host([hidden]) {
    display: none;
  }
  .chain {
    display: flex;
    gap: var(--gap-2);
    align-items: center;
    min-width: 0;
  }
  .of-a {
    --accent: var(--a);
  }
  .of-b {
    --accent: var(--b);
  }
  ol {
    display: flex;
    flex: 1;
    align-items: center;
    min-width: 0;
    margin: 0;
    /* Room for the frame of the focus, which scrolling would cut off. */
    padding: 3px;
    overflow-x: auto;
    list-style: none;
    scrollbar-width: thin;
  }
  li {
    display: contents;
  }
  .pedal {
    display: flex;
    flex: 0 1 auto;
    align-items: center;
    /* Titles are cut down to about a circuit's own; then the row scrolls. */
    min-width: 6rem;
    background: var(--sheet);
    border: 1px solid var(--line-strong);
    border-radius: var(--radius);
  }
  .pedal.chained {
    min-width: 12rem;
  }
  .pedal.tooled {
    min-width: 18.5rem;
  }
  .pedal.looked {
    border-color: var(--accent);
    box-shadow: inset 0 -2px var(--accent);
  }
  .pedal.over {
    background: var(--chosen);
  }
  .grip {
    padding-left: var(--gap-1);
    color: var(--ink-soft);
    cursor: grab;
  }
  .pedal button {
    min-height: 1.6rem;
    font-size: var(--size-small);
    background: none;
    border-color: transparent;
  }
  .pedal button:hover:not(:disabled) {
    background: var(--hover);
  }
  .look {
    /* Room that is left is the title's, not behind the buttons. */
    flex: 1 1 auto;
    min-width: 4rem;
    text-align: left;
    max-width: 20rem;
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .pedal .look[aria-pressed='true'] {
    color: var(--ink);
  }
  .off .look {
    color: var(--ink-soft);
    text-decoration: line-through;
  }
  /* A lamp, as on the pedal. */
  .switch::before {
    content: '';
    display: inline-block;
    width: 0.55em;
    height: 0.55em;
    margin-right: 0.35em;
    border: 1.5px solid currentcolor;
    border-radius: 50%;
  }
  .switch[aria-checked='true']::before {
    background: var(--accent);
    border-color: var(--accent);
  }
  .switch {
    flex: none;
    min-width: 3.4rem;
  }
  .tools {
    display: flex;
    flex: none;
    border-left: 1px solid var(--line);
  }
  .tools button {
    padding: 0 var(--gap-2);
  }
  .cable {
    display: flex;
    flex: none;
    align-items: center;
  }
  .cable::before,
  .cable::after {
    content: '';
    width: var(--gap-2);
    border-top: 2px solid var(--line-strong);
  }
  .cable label {
    display: flex;
    gap: 0.2em;
    align-items: center;
    padding: 0 0.2em;
  }
  .cable input[type='number'] {
    width: 3.2rem;
    min-height: 1.6rem;
    padding: 0 0.25em;
    font-size: var(--size-small);
  }
  @media (pointer: coarse), (max-width: 740px) {
    .cable input[type='number'] {
      width: 4rem;
    }
    .grip {
      display: none;
    }
  }
  /* A phone has room for one: of the side that plays. */
  @media (max-width: 740px) {
    .chain:not(.heard) {
      display: none;
    }
    .look {
      max-width: 11rem;
    }
  }
  @media print {
    :host {
      display: none;
    }
  }
`;
