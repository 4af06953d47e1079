import { html, LitElement } from 'lit';
import { customElement } from 'lit/decorators.js';

/** The bench: the page's one element, which everything else is wired into. */
@customElement('cliplead-bench')
export class ClipleadBench extends LitElement {
  override render() {
    return html`<h1>Cliplead</h1>`;
  }
}
