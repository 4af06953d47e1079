import { html, nothing, type PropertyValues, svg, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { unsafeSVG } from 'lit/directives/unsafe-svg.js';
import type { BuildWarning } from '../../../engine/analysis/build-warnings.ts';
import { meterText } from '../../../engine/analysis/net-volts.ts';
import { refText } from '../../../engine/builds/alias.ts';
import type { Build, PartSetting } from '../../../engine/builds/build.ts';
import { buildTitle } from '../../../engine/builds/build-title.ts';
import { isSameSetting, settingText, withoutPiece } from '../../../engine/builds/part-setting.ts';
import { type Circuit, isSameCircuit } from '../../../engine/circuits/circuit.ts';
import { GROUND_NET } from '../../../engine/circuits/circuit-nets.ts';
import { fittedCircuit } from '../../../engine/circuits/fitted-circuit.ts';
import { drawnLabel } from '../../../engine/drawing/drawn-label.ts';
import { partSymbol } from '../../../engine/drawing/part-symbol.ts';
import { LABEL_SIZE, type LabelSpot, type PlacedPart } from '../../../engine/drawing/placed-part.ts';
import type { PlacedStage, Sheet } from '../../../engine/drawing/sheet.ts';
import { flagLines, wirePath } from '../../../engine/drawing/sheet-lines.ts';
import { circuitDrawing, type Flag, type StageDrawing } from '../../../engine/drawing/stage-drawing.ts';
import type { VoltSpot } from '../../../engine/drawing/volt-spots.ts';
import type { RoutedNet } from '../../../engine/drawing/wire-router.ts';
import { isLetterKey } from '../../letter-key.ts';
import type { Analyser } from '../../plots/analyser.ts';
import { SizeObserver } from '../../size-observer.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { chosenRefs } from '../../state/reach.ts';
import { BenchElement, LETTER } from '../bench-element.ts';
import { sharedStyles } from '../shared-styles.ts';
import { schematicStyles } from './schematic-styles.ts';
import { chosenSheet, fittedStepPx } from './sheet-choice.ts';
import { SheetPointer } from './sheet-pointer.ts';
import { SheetVolts } from './sheet-volts.ts';
import { warningSign } from './warning-sign.ts';

/** Pixels of a grid step: the least and most that zoom allows. */
const LEAST_STEP_PX = 4;
const MOST_STEP_PX = 40;
const ZOOM_FACTOR = 1.25;

/** By circuit, not by its id: revisions of one circuit have the same. */
const drawings = new WeakMap<Circuit, readonly StageDrawing[]>();

function drawingOf(circuit: Circuit): readonly StageDrawing[] {
  const known = drawings.get(circuit);
  if (known) return known;
  const drawn = circuitDrawing(circuit);
  drawings.set(circuit, drawn);
  return drawn;
}

/** The build that is heard as a schematic: every part can be chosen, every net probed. */
@customElement('build-schematic')
export class BuildSchematic extends BenchElement {
  @property({ attribute: false }) state!: BenchState;
  /** Computes the voltages; available a moment after the page. */
  @property({ attribute: false }) analyser: Analyser | undefined;
  /** Warnings of the heard build. */
  @property({ attribute: false }) warnings: readonly BuildWarning[] = [];
  /** Pixels of a grid step; undefined while the sheet fits the width. */
  @state() private chosenStepPx: number | undefined;
  @state() private widthPx = 0;
  @query('.paper') private paper!: HTMLElement;
  #observer: SizeObserver | undefined;
  #sheet: { readonly circuit: Circuit; readonly widthPx: number; readonly sheet: Sheet } | undefined;
  readonly #volts = new SheetVolts(this, () => this);
  readonly #pointer = new SheetPointer({
    paper: () => this.paper,
    zoom: (factor, at) => this.#zoom(factor, at),
  });

  static override styles = [sharedStyles, schematicStyles];

  override firstUpdated(): void {
    const measure = () => {
      this.widthPx = this.paper.clientWidth;
    };
    queueMicrotask(measure);
    // Not at once: what is drawn then may change the size again, which the browser reports as an error.
    this.#observer = new SizeObserver(() => requestAnimationFrame(measure));
    this.#observer.observe(this.paper);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('keydown', this.#onPageKey);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener('keydown', this.#onPageKey);
    this.#observer?.disconnect();
  }

  protected override updated(changed: PropertyValues): void {
    const before = changed.get('state') as BenchState | undefined;
    const isFirst = changed.has('widthPx') && changed.get('widthPx') === 0;
    if (!isFirst && (before === undefined || before.selected === this.state.selected)) return;
    this.#showSelected();
  }

  /** Scrolls the sheet, and nothing around it, to the chosen part. */
  #showSelected(): void {
    const part = this.renderRoot.querySelector('.part.selected')?.getBoundingClientRect();
    if (!part) return;
    const view = this.paper.getBoundingClientRect();
    const isSeen =
      part.top >= view.top &&
      part.bottom <= view.bottom &&
      part.left >= view.left &&
      part.right <= view.right;
    if (isSeen) return;
    this.paper.scrollLeft += (part.left + part.right - view.left - view.right) / 2;
    this.paper.scrollTop += (part.top + part.bottom - view.top - view.bottom) / 2;
  }

  override render() {
    const circuit = fittedCircuit(this.#build);
    const sheet = this.#sheetOf(circuit);
    const stepPx = this.#stepPx(sheet);
    return html`
      <header>
        <slot name="views"></slot>
        <h2 title="The schematic shows the build that is heard"><span class="letter ${this.state.heard}">${LETTER[this.state.heard]}</span> ${circuit.title}: <bdi>${buildTitle(this.#build)}</bdi></h2>
        <nav class="stages" aria-label="Go to a stage">${sheet.stages.map(
          (stage) => html`<button @click=${() => this.#goTo(stage, stepPx)}>${stage.drawing.title}</button>`,
        )}</nav>
        <div class="tools">
          <button class="volts" aria-pressed=${this.#volts.isShown} title="DC volts at every net of this build, no signal (V)"
            @click=${() => this.#volts.toggle()}>DC volts</button>
          <button aria-label="Smaller" title="Smaller (−)" @click=${() => this.#zoom(1 / ZOOM_FACTOR)}>−</button>
          <button aria-label="Fit the width" title="Fit the width (0)" @click=${this.#fit}>Fit</button>
          <button aria-label="Larger" title="Larger (+)" @click=${() => this.#zoom(ZOOM_FACTOR)}>+</button>
          <button class="wide" @click=${() => window.print()}>Print</button>
        </div>
      </header>
      ${this.#volts.trouble === undefined ? nothing : html`<p class="small problem" role="status">No DC volts: ${this.#volts.trouble}</p>`}
      <div class="paper" @keydown=${this.#onKey} @wheel=${this.#pointer.onWheel} @pointerdown=${this.#pointer.onDown}
        @pointermove=${this.#pointer.onMove} @pointerup=${this.#pointer.onUp} @pointercancel=${this.#pointer.onUp}>
        ${
          this.widthPx === 0
            ? nothing
            : html`<svg role="group" aria-label="Schematic of ${circuit.title}" width=${sheet.width * stepPx} height=${sheet.height * stepPx}
                viewBox="0 0 ${sheet.width} ${sheet.height}">
                ${sheet.links.map(({ net, from, to }) => this.#net(net, wire({ segments: [[from, to]], junctions: [], ends: [] })))}
                ${sheet.stages.map((stage) => this.#renderStage(circuit, stage))}
                ${sheet.flags.map((flag) => this.#net(flag.net, flagSymbol(flag)))}
                ${this.#renderVolts(sheet)}
              </svg>`
        }
      </div>
    `;
  }

  #renderVolts(sheet: Sheet) {
    if (!this.#volts.isShown) return nothing;
    const { volts } = this.#volts;
    return svg`<g class="voltages ${this.#volts.isOld ? 'old' : ''}" role="group" aria-label="DC volts">${this.#volts
      .spotsOn(sheet)
      .map((spot) => voltage(spot, meterText(volts[spot.net] ?? 0)))}</g>`;
  }

  /** Scrolls the sheet, and nothing around it, to a stage's heading. */
  #goTo({ heading: [x, y] }: PlacedStage, stepPx: number): void {
    this.paper.scrollTo({ left: (x - 2) * stepPx, top: (y - 2) * stepPx });
  }

  get #build(): Build {
    return this.state.builds[this.state.heard];
  }

  #sheetOf(circuit: Circuit): Sheet {
    const { widthPx } = this;
    if (this.#sheet?.circuit !== circuit || this.#sheet.widthPx !== widthPx)
      this.#sheet = { circuit, widthPx, sheet: chosenSheet(drawingOf(circuit), widthPx) };
    return this.#sheet.sheet;
  }

  #stepPx(sheet: Sheet): number {
    return this.chosenStepPx ?? fittedStepPx(sheet, this.widthPx);
  }

  #renderStage(circuit: Circuit, { drawing, offset, heading }: PlacedStage) {
    return svg`
      <text class="heading" x=${heading[0]} y=${heading[1]}>${drawing.title}</text>
      <g role="group" aria-label=${drawing.title} transform="translate(${offset[0]} ${offset[1]})">
        ${this.#renderNets(drawing, (net) => net === GROUND_NET)}
        ${drawing.parts.map((part) => this.#renderPart(circuit, drawing, part))}
        ${this.#renderNets(drawing, (net) => net !== GROUND_NET)}
      </g>`;
  }

  /** Nets for the probe lie above the parts, whose area begins at their pins; ground, which has no probe, lies below. */
  #renderNets({ wires, flags }: StageDrawing, isMeant: (net: string) => boolean) {
    return svg`${wires.filter(({ name }) => isMeant(name)).map((routed) => this.#net(routed.name, wire(routed)))}
      ${flags.filter(({ net }) => isMeant(net)).map((flag) => this.#net(flag.net, flagSymbol(flag)))}`;
  }

  /** Every line of a net can be clicked for the probe. */
  #net(net: string, drawn: TemplateResult<2>) {
    const isProbed = this.state.probe === net;
    const isGround = net === GROUND_NET;
    const probe = () => this.act({ type: 'probe', net: isProbed ? undefined : net });
    return svg`<g class="net ${isProbed ? 'probed' : ''} ${isGround ? 'ground' : ''}" data-net=${net} @click=${isGround ? nothing : probe}>
      <title>${isGround ? 'ground' : `${net}: probe here`}</title>${drawn}</g>`;
  }

  #renderPart(circuit: Circuit, drawing: StageDrawing, part: PlacedPart) {
    const { ref, spec, body, mark, labels } = part;
    const { heard, builds, selected } = this.state;
    const owner = spec.kind === 'opamp' ? spec.package : ref;
    const setting = builds[heard].parts[owner] ?? {};
    const other = builds[heard === 'a' ? 'b' : 'a'];
    const control = circuit.switches.find((each) => each.ref === ref);
    const position = this.#positionOf(circuit, ref);
    const text = spec.kind === 'switch' ? (position ?? '') : settingText(withoutPiece(setting));
    const isSwapped =
      isSameCircuit(other.circuit, builds[heard].circuit) &&
      (spec.kind === 'switch'
        ? control !== undefined && other.switches[control.name] !== position
        : !isSameSetting(other.parts[owner] ?? {}, setting));
    const isSelected = selected === owner;
    const isTogether = !isSelected && chosenRefs(this.state).includes(owner);
    const name = `${refText(builds[heard], ref)}${this.#controlName(circuit, ref)}`;
    const [x, y] = spec.at;
    const warning = this.warnings.find((each) => each.ref === owner)?.message;
    return svg`<g class="part ${warning ? 'warned' : ''} ${isSelected ? 'selected' : ''} ${isTogether ? 'together' : ''} ${isSwapped ? `swapped ${heard}` : ''}" data-ref=${ref}
        @click=${() => this.#choose(circuit, ref, owner)}>
      <title>${name}, ${text}${warning ? `. ${warning}` : ''}</title>
      <g role="button" tabindex=${isSelected && isFirstOf(circuit, owner, ref) ? 0 : -1} aria-pressed=${isSelected}
        aria-label="${name}, ${text}${isSwapped ? `, differs from ${LETTER[heard === 'a' ? 'b' : 'a']}` : ''}.${warning ? ` Warning: ${warning}` : ''} ${drawing.title}. ${spec.role}">
      <path class="hit" d="M${mark.join('L')}Z" />
      <g class="symbol" transform="translate(${x} ${y}) rotate(${spec.turn ?? 0}) scale(1 ${spec.flip ? -1 : 1})">
        ${unsafeSVG(partSymbol(spec, setting, position, this.#rotation(circuit, ref)))}
      </g>
      </g>
      ${warning ? warningSign(body) : nothing}
      <g aria-hidden="true">${labels.map((spot) =>
        label(
          spot,
          spot.what === 'ref' ? name : valueText(spec.kind, setting, text),
          isSwapped && spot.what === 'value' ? LETTER[heard] : '',
        ),
      )}</g>
    </g>`;
  }

  /** The position of a switch; the footswitch is that of the bench. */
  #positionOf(circuit: Circuit, ref: string): string | undefined {
    if (isFootswitch(circuit, ref)) return this.state.isBypassed ? 'bypassed' : 'on';
    const control = circuit.switches.find((each) => each.ref === ref);
    return control && this.#build.switches[control.name];
  }

  #controlName(circuit: Circuit, ref: string): string {
    if (isFootswitch(circuit, ref)) return ' footswitch';
    const control = [...circuit.knobs, ...circuit.switches].find((each) => each.ref === ref);
    return control ? ` ${control.name}` : '';
  }

  #rotation(circuit: Circuit, ref: string): number | undefined {
    const knob = circuit.knobs.find((each) => each.ref === ref);
    return knob && this.#build.knobs[knob.name];
  }

  /** A click on a part shows it on the card; a click on a switch moves it to the next position. */
  #choose(circuit: Circuit, ref: string, owner: string): void {
    if (isFootswitch(circuit, ref)) {
      this.act({ type: 'bypass', isBypassed: !this.state.isBypassed });
      return;
    }
    const control = circuit.switches.find((each) => each.ref === ref);
    if (!control) {
      this.act({ type: 'select', ref: owner });
      return;
    }
    const spec = circuit.stages.map(({ parts }) => parts[ref]).find((each) => each !== undefined);
    if (spec?.kind !== 'switch') return;
    const positions = Object.keys(spec.positions);
    const now = positions.indexOf(this.#build.switches[control.name] ?? '');
    const position = positions[(now + 1) % positions.length]!;
    this.act({ type: 'throwSwitch', slot: this.state.heard, name: control.name, position });
  }

  #onPageKey = (event: KeyboardEvent): void => {
    if (!isLetterKey(event, 'v')) return;
    event.preventDefault();
    this.#volts.toggle();
  };

  #onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const handled = this.#zoomKey(event.key) || this.#partKey(event);
    if (!handled) return;
    event.preventDefault();
    event.stopPropagation();
  };

  #zoomKey(key: string): boolean {
    if (key === '+' || key === '=') this.#zoom(ZOOM_FACTOR);
    else if (key === '-') this.#zoom(1 / ZOOM_FACTOR);
    else if (key === '0') this.#fit();
    else return false;
    return true;
  }

  /** Left and right walk from part to part, stage by stage; Enter is a click. */
  #partKey(event: KeyboardEvent): boolean {
    const parts = [...this.renderRoot.querySelectorAll<SVGGElement>('.part')];
    const now = parts.findIndex((part) => event.composedPath().includes(part));
    if (now < 0) return false;
    if (event.key === 'Enter') {
      parts[now]?.dispatchEvent(new MouseEvent('click'));
      return true;
    }
    const turn = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (turn === undefined) return false;
    const next = parts[(now + turn + parts.length) % parts.length]!;
    if (!this.#isSwitch(next.dataset.ref)) next.dispatchEvent(new MouseEvent('click'));
    next.querySelector<SVGGElement>('[role="button"]')?.focus();
    return true;
  }

  #isSwitch(ref: string | undefined): boolean {
    const { switches, bypass } = this.#build.circuit;
    return [...switches.map((each) => each.ref), ...(bypass.footswitch ?? [])].some((each) => each === ref);
  }

  #fit = (): void => {
    this.chosenStepPx = undefined;
  };

  /** @param at The fixed point, pixels from the paper's corner; its middle if not given. */
  #zoom(factor: number, at?: { readonly x: number; readonly y: number }): void {
    if (!this.#sheet) return;
    const before = this.#stepPx(this.#sheet.sheet);
    const after = Math.min(Math.max(before * factor, LEAST_STEP_PX), MOST_STEP_PX);
    const { scrollLeft, scrollTop, clientWidth, clientHeight } = this.paper;
    const { x, y } = at ?? { x: clientWidth / 2, y: clientHeight / 2 };
    this.chosenStepPx = after;
    void this.updateComplete.then(() => {
      this.paper.scrollLeft = ((scrollLeft + x) * after) / before - x;
      this.paper.scrollTop = ((scrollTop + y) * after) / before - y;
    });
  }
}

/** Its pins can be clicked too: where two touch, there is no line between them. */
function wire(net: Omit<RoutedNet, 'name'>): TemplateResult<2> {
  const path = wirePath(net);
  return svg`<path class="reach" d=${path} /><path class="wire" d=${path} />
    ${net.ends.map(([x, y]) => svg`<circle class="pin" cx=${x} cy=${y} r="0.5" />`)}
    ${net.junctions.map(([x, y]) => svg`<circle class="junction" cx=${x} cy=${y} r="0.26" />`)}`;
}

/** A named net can be clicked at its flag; ground has no probe. */
function flagSymbol(flag: Flag): TemplateResult<2> {
  const { lead, path, name } = flagLines(flag);
  if (!name) return svg`<path class="wire" d=${path} />`;
  return svg`<path class="reach" d=${lead} /><path class="wire" d=${path} />
    <text class="flag" x=${name.at[0]} y=${name.at[1]} text-anchor=${name.anchor}>${flag.net}</text>`;
}

function voltage({ net, at: [x, y], leader }: VoltSpot, text: string) {
  const [from, to] = leader ?? [];
  return svg`${from && to ? svg`<path class="leader" d="M${from}L${to}" />` : nothing}
    <text class="voltage" role="img" aria-label="${net}: ${text}" x=${x} y=${y} text-anchor="middle">${text}</text>`;
}

function label(spot: LabelSpot, text: string, letter: string) {
  const { written, size } = drawnLabel(spot, text, letter);
  const style = size < LABEL_SIZE ? `font-size: ${size.toFixed(3)}px` : nothing;
  const [x, y] = spot.at;
  return svg`<text class=${spot.what} x=${x} y=${y} text-anchor=${spot.anchor} style=${style}>${written}</text>`;
}

/** A potentiometer's taper is on its card; the drawing has room for the value. */
function valueText(kind: string, setting: PartSetting, whole: string): string {
  return kind === 'pot' && setting.fit === undefined ? (setting.value ?? '') : whole;
}

function isFootswitch({ bypass }: Circuit, ref: string): boolean {
  return bypass.footswitch?.includes(ref) ?? false;
}

/** The first amplifier of a package stands for it in the order of the Tab key. */
function isFirstOf(circuit: Circuit, owner: string, ref: string): boolean {
  if (owner === ref) return true;
  const refs = circuit.stages.flatMap(({ parts }) => Object.entries(parts));
  return refs.find(([, spec]) => spec.kind === 'opamp' && spec.package === owner)?.[0] === ref;
}
