import { css } from 'lit';

/** Look of a build's title and of its menu. */
export const buildBarStyles = css`
  .bar {
    position: relative;
    display: grid;
    grid-template-columns: auto minmax(0, 1fr) auto;
    gap: 0 var(--gap-2);
    align-items: center;
  }
  .bar:has(.of) {
    grid-template-columns: auto auto minmax(0, 1fr) auto;
  }
  .of {
    white-space: nowrap;
  }
  .joining {
    padding: 0 var(--gap-3) var(--gap-1);
  }
  input.title[type='text'] {
    width: 100%;
    font-size: var(--size-large);
    font-weight: 600;
    text-overflow: ellipsis;
    background: transparent;
    border-color: transparent;
    padding: 0 var(--gap-1);
  }
  input.title[type='text']:hover,
  input.title[type='text']:focus {
    border-color: var(--line-strong);
  }
  p {
    grid-column: 2 / -1;
    padding-left: var(--gap-1);
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  /* A low window keeps its height for the sheet; the notes are shown over the title. */
  @media (max-height: 860px), (max-width: 740px) {
    p {
      display: none;
    }
  }
  summary {
    display: inline-flex;
    align-items: center;
    min-height: 2rem;
    padding: 0 var(--gap-2);
    font-size: var(--size-small);
    border: 1px solid var(--line-strong);
    border-radius: var(--radius);
    background: var(--sheet);
    cursor: pointer;
    list-style: none;
  }
  summary::-webkit-details-marker {
    display: none;
  }
  summary::after {
    content: '';
    margin: -0.2em 0 0 var(--gap-2);
    width: 0.35em;
    height: 0.35em;
    border: solid;
    border-width: 0 1.5px 1.5px 0;
    rotate: 45deg;
  }
  summary:hover,
  details[open] summary {
    background: var(--hover);
  }
  .menu {
    position: absolute;
    z-index: 6;
    top: 2.25rem;
    left: 0;
    width: 100%;
    min-width: min(24rem, 100%);
    max-height: min(36rem, 70vh);
    overflow-y: auto;
    padding: var(--gap-2) 0 0;
    background: var(--sheet);
    border: 1px solid var(--line-strong);
    border-radius: var(--radius);
    box-shadow: var(--shadow);
  }
  h2 {
    padding: var(--gap-2) var(--gap-3) var(--gap-1);
    font-size: var(--size-small);
    font-weight: 600;
    color: var(--ink-soft);
  }
  ul {
    list-style: none;
  }
  button.preset {
    display: block;
    width: 100%;
    padding: var(--gap-1) var(--gap-3);
    text-align: left;
    font-weight: 600;
    background: transparent;
    border: 0;
    border-radius: 0;
  }
  button.preset span {
    display: block;
    font-weight: 400;
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  button.preset:focus-visible {
    outline-offset: -2px;
  }
  .files {
    position: sticky;
    bottom: 0;
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2);
    padding: var(--gap-2) var(--gap-3);
    margin-top: var(--gap-2);
    background: var(--sheet);
    border-top: 1px solid var(--line);
  }
  .files button {
    font-size: var(--size-small);
  }
`;
