import { css } from 'lit';

/** Two columns, one a build, each with its controls one under the other. */
export const partCardStyles = css`
  h3 {
    font-size: var(--size-large);
    font-weight: 600;
  }
  .slots {
    display: grid;
    grid-template-columns: repeat(2, minmax(0, 1fr));
    gap: var(--gap-4);
    margin-top: var(--gap-3);
  }
  .slot {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    gap: var(--gap-2);
    align-content: start;
    min-width: 0;
    padding-top: var(--gap-2);
    border-top: 2px solid;
  }
  .slot:only-child {
    grid-column: 1 / -1;
  }
  .slot.a {
    --accent: var(--a);
    border-color: var(--a);
  }
  .slot.b {
    --accent: var(--b);
    border-color: var(--b);
  }
  .row {
    display: flex;
    gap: var(--gap-1);
    align-items: center;
  }
  .row input[type='text'] {
    flex: 1;
    min-width: 0;
    width: 4rem;
  }
  .row button {
    width: 2rem;
    padding: 0;
  }
  label.field {
    display: grid;
    grid-template-columns: auto minmax(0, 1fr);
    gap: var(--gap-2);
    align-items: center;
  }
  label.field > * {
    min-width: 0;
  }
  .alias {
    display: flex;
    gap: var(--gap-2);
    align-items: center;
    margin-top: var(--gap-1);
  }
  .alias input {
    width: 5.5rem;
    min-height: 1.6rem;
  }
  .law-row {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2);
    align-items: start;
  }
  .law {
    width: 4.5rem;
    height: 4.5rem;
    flex: none;
  }
  .law path,
  .law polyline {
    fill: none;
    stroke: var(--line-strong);
    stroke-width: 2;
  }
  .law .grid {
    stroke: var(--line);
  }
  .law polyline {
    stroke: var(--accent);
    stroke-width: 4;
  }
  .law circle {
    fill: var(--accent);
  }
  knob-matches {
    flex: 1 1 6rem;
  }
  .figures-line {
    min-height: 2.6em;
  }
  .heard {
    display: flex;
    gap: var(--gap-2);
    align-items: center;
    min-height: 1.6rem;
  }
  .heard h4 {
    flex: 1;
    min-width: 0;
    margin: 0;
    font-weight: 600;
    overflow-wrap: anywhere;
  }
  .heard .letter {
    font-size: var(--size);
  }
  .heard button {
    min-height: 1.6rem;
    padding: 0 var(--gap-1);
    font-size: var(--size-small);
    white-space: nowrap;
  }
  details .role {
    display: none;
  }
  details {
    margin-top: var(--gap-2);
  }
  summary {
    padding: var(--gap-1) 0;
    font-size: var(--size-small);
    color: var(--ink-soft);
    cursor: pointer;
  }
  .back {
    min-height: 1.6rem;
    font-size: var(--size-small);
  }
  .segments label {
    padding: 0.15rem 0.4rem;
  }
  .unknown,
  .keys {
    margin-top: var(--gap-3);
  }
  @media (min-width: 741px) and (max-width: 1150px) {
    .slots {
      gap: var(--gap-3);
    }
    .segments {
      font-size: 0.75rem;
    }
    .segments label {
      padding: 0.15rem 0.2rem;
    }
  }
  @media (max-width: 740px) {
    .keys {
      display: none;
    }
  }
  /* A low window: what the part does is a click away, so that its settings are in sight. */
  @media (min-width: 901px) and (max-height: 700px), (min-width: 901px) and (max-width: 1150px) and (max-height: 860px) {
    .head {
      display: flex;
      gap: var(--gap-3);
      align-items: center;
    }
    .head .role,
    .head h3 .soft {
      display: none;
    }
    details .role {
      display: block;
    }
    .slots {
      margin-top: var(--gap-1);
    }
    .slot {
      gap: 2px;
      padding-top: 2px;
    }
    .slot select,
    .slot input[type='text'],
    .row button {
      min-height: 1.75rem;
    }
    details {
      margin-top: 0;
    }
    summary {
      padding: 2px 0;
    }
  }
  header {
    display: flex;
    justify-content: space-between;
    align-items: baseline;
    gap: var(--gap-3);
  }
  select.series {
    width: auto;
  }
`;
