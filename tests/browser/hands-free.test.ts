import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import { BOUNCE_MS, LONG_PRESS_MS, SECOND_PRESS_MS } from '../../ui/hands/press-timing.ts';
import '../../ui/main.ts';
import { type FakeInput as FakeLive, fakeInput, stubInputs } from './fake-input.ts';
import { until } from './until.ts';

/** Two notes, two knobs and a foot switch at one input, as the browser reports them. */
class FakeInput extends EventTarget {
  readonly name = 'Foot board';
  readonly state = 'connected';
  onmidimessage: ((event: { data: Uint8Array }) => void) | null = null;
  send(...bytes: number[]): void {
    this.onmidimessage?.({ data: Uint8Array.from(bytes) });
  }
}

let bench: ClipleadBench;
let input: FakeInput;
const requestMIDIAccess = Object.getOwnPropertyDescriptor(Navigator.prototype, 'requestMIDIAccess');

async function drawn(): Promise<void> {
  await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
  await bench.updateComplete;
}

function send(type: string, key: string, init: KeyboardEventInit = {}): void {
  document.body.dispatchEvent(new KeyboardEvent(type, { key, bubbles: true, cancelable: true, ...init }));
}

/** So that the next press is neither a bounce of the last one nor its second. */
async function apart(): Promise<void> {
  const end = performance.now() + 1.2 * SECOND_PRESS_MS;
  await until('some time later', () => performance.now() > end);
}

async function release(key: string): Promise<void> {
  send('keyup', key);
  await drawn();
}

let pressedAtMs = 0;
/** So that a press is no bounce of the last one. */
async function noBounce(): Promise<void> {
  await until('the contacts quiet', () => performance.now() > pressedAtMs + BOUNCE_MS);
  pressedAtMs = performance.now();
}

/** A short press, however slow the page is. */
async function tap(key: string): Promise<void> {
  await noBounce();
  for (const type of ['keydown', 'keyup']) send(type, key);
  await drawn();
}

/**
 * Two presses that belong together. Where the page was too slow for that, once more: two presses that do not leave A and B
 * as they were.
 */
async function tapTwice(key: string): Promise<void> {
  let apartMs = Number.POSITIVE_INFINITY;
  while (apartMs > SECOND_PRESS_MS) {
    await apart();
    const startMs = performance.now();
    for (let times = 0; times < 2; times++) {
      await noBounce();
      for (const type of ['keydown', 'keyup']) send(type, key);
    }
    apartMs = performance.now() - startMs;
  }
}

async function press(key: string, init: KeyboardEventInit = {}): Promise<void> {
  await noBounce();
  send('keydown', key, init);
  await drawn();
}

function inside(component: string): ShadowRoot {
  const root = bench.shadowRoot?.querySelector(component)?.shadowRoot;
  if (!root) throw new Error(`there is no ${component}`);
  return root;
}

/** Types into a field like a person: the browser itself knows that its text was changed. */
async function typeAndEnter(component: string, label: string, text: string): Promise<HTMLInputElement> {
  const field = inside(component).querySelector<HTMLInputElement>(`[aria-label="${label}"]`);
  if (!field) throw new Error(`${component} has no ${label}`);
  field.focus();
  field.select();
  document.execCommand('insertText', false, text);
  await drawn();
  await pressWhereFocused('Enter');
  return field;
}

/** Presses a key at the element with the focus, in any shadow root. @returns Whether the bench handled it. */
async function pressWhereFocused(key: string): Promise<boolean> {
  const event = new KeyboardEvent('keydown', { key, bubbles: true, composed: true, cancelable: true });
  const target = focused();
  target.dispatchEvent(event);
  // At once: on a slow page it would become a long press.
  target.dispatchEvent(new KeyboardEvent('keyup', { key, bubbles: true, composed: true }));
  await drawn();
  return event.defaultPrevented;
}

function focused(): Element {
  let element = document.activeElement ?? document.body;
  while (element.shadowRoot?.activeElement) element = element.shadowRoot.activeElement;
  return element;
}

async function click(label: string): Promise<void> {
  const buttons = [...inside('hands-dialog').querySelectorAll('button')];
  const found = buttons.find((each) => (each.ariaLabel ?? each.textContent) === label);
  if (!found) throw new Error(`no button "${label}"`);
  found.click();
  await drawn();
}

/** The dialog with MIDI devices, as a person opens it. */
async function useMidi(): Promise<void> {
  await press('?');
  await click('Use MIDI');
  await until('an answer about MIDI', () => /MIDI:|MIDI was|MIDI did|no MIDI/.test(dialogText()));
}

async function closeDialog(): Promise<void> {
  inside('hands-dialog').querySelector('dialog')?.close();
  await drawn();
}

const dialogText = () => inside('hands-dialog').querySelector('dialog')?.textContent ?? '';

async function openBench(): Promise<void> {
  bench = document.createElement('cliplead-bench') as ClipleadBench;
  document.body.append(bench);
  await drawn();
}

describe('both hands on the guitar', () => {
  beforeEach(async () => {
    localStorage.clear();
    input = new FakeInput();
    const access = Object.assign(new EventTarget(), { inputs: new Map([['1', input]]) });
    Object.defineProperty(Navigator.prototype, 'requestMIDIAccess', {
      configurable: true,
      value: async () => access,
    });
    await openBench();
  });
  afterEach(() => {
    bench.remove();
    if (requestMIDIAccess) Object.defineProperty(Navigator.prototype, 'requestMIDIAccess', requestMIDIAccess);
  });

  it('learns a MIDI switch from two presses, and changes between A and B with each press', async () => {
    await useMidi();
    await click('Learn A or B');
    assert.include(dialogText(), 'Press it briefly.');
    input.send(0xb0, 64, 127);
    input.send(0xb0, 64, 0);
    await drawn();
    assert.include(dialogText(), 'Wait a second, then press it again.');
    await apart();
    input.send(0xb0, 64, 127);
    await drawn();
    assert.include(dialogText(), 'MIDI controller 64, channel 1');
    for (const value of [0, 127, 0]) input.send(0xb0, 64, value);
    assert.equal(bench.store.state.heard, 'a', 'nothing is switched while a dialog is open');
    await closeDialog();
    for (const value of [127, 0]) input.send(0xb0, 64, value);
    assert.equal(bench.store.state.heard, 'b');
    await press('?');
    await click('Forget MIDI controller 64, channel 1 for A or B');
    await closeDialog();
    input.send(0xb0, 64, 127);
    assert.equal(bench.store.state.heard, 'b');
  });

  it('learns a key in the dialog, asks before it takes one that is used, and keeps it for the next visit', async () => {
    await press('?');
    await click('Learn Match levels');
    send('keydown', 'e');
    send('keyup', 'e');
    await apart();
    send('keydown', 'e');
    await drawn();
    assert.include(dialogText(), 'E is for “Bypass”.');
    assert.isFalse(bench.store.state.isBypassed, 'it does nothing else meanwhile');
    await click('Use it here');
    bench.remove();
    await openBench();
    await press('e');
    assert.isFalse(bench.store.state.isBypassed);
    assert.isTrue(bench.store.state.match.isMeasuring);
    await press('?');
    await click('Reset keys to standard');
    await closeDialog();
    await press('e');
    assert.isTrue(bench.store.state.isBypassed);
  });

  it('fills an evening with the space bar alone: A and B, candidates, a recording after a count-in, its end', async () => {
    const clicks: number[] = [];
    const start = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (when) {
      if (when !== undefined && this.frequency.value >= 1000) clicks.push(when);
      return start.call(this, when);
    };
    const opened: FakeLive[] = [];
    const restore = stubInputs(async () => {
      const live = fakeInput({ left: 0.2 });
      opened.push(live);
      return live.stream;
    });
    const { store, session } = bench;
    const capture = () => store.state.ear.capture;
    const hold = async (what: string, isSo: () => boolean) => {
      send('keydown', ' ');
      await until(what, isSo);
      await release(' ');
    };
    try {
      store.act({ type: 'ear', change: { tempoBpm: 240 } });
      const source = { kind: 'live', deviceId: '', channel: 0 } as const;
      store.act({ type: 'source', source });
      store.act({ type: 'listen', isListening: true });
      await session.useSource(source);
      await until('an input', () => session.readTelemetry().inputPeakV > 0);
      await tap(' ');
      assert.equal(store.state.heard, 'b');
      const { selected } = store.state;
      const before = store.state.builds.b.parts[selected];
      await tapTwice(' ');
      await store.settled();
      assert.notEqual(store.state.builds.b.parts[selected], before);
      await apart();
      await hold('a count-in', () => capture() !== 'idle');
      await until('four beats', () => clicks.length === 4);
      assert.closeTo(clicks[3]! - clicks[0]!, 3 * (60 / 240), 1e-6);
      await until('a recording', () => session.readTelemetry().capturedSeconds > 0.3);
      assert.equal(capture(), 'capturing');
      await tap(' ');
      await until('a riff that plays', () => store.state.source.kind === 'riff');
      await apart();
      const caution = () => inside('live-caution').querySelector('dialog')!;
      await hold('what is said before an input is opened', () => caution().open);
      caution().querySelector<HTMLElement>('[autofocus]')?.click();
      await until('the live input again', () => store.state.source.kind === 'live');
    } finally {
      OscillatorNode.prototype.start = start;
      restore();
      await session.stop();
      for (const live of opened) live.close();
    }
  });

  it('counts a space bar that is held down as one press', async () => {
    let heldMs = Number.POSITIVE_INFINITY;
    // On a slow page it would be a long press, which leaves A and B as they were.
    while (heldMs >= LONG_PRESS_MS) {
      await apart();
      assert.equal(bench.store.state.heard, 'a');
      const startMs = performance.now();
      send('keydown', ' ');
      pressedAtMs = startMs;
      await noBounce();
      for (let repeats = 0; repeats < 4; repeats++) send('keydown', ' ', { repeat: true });
      heldMs = performance.now() - startMs;
      if (heldMs < LONG_PRESS_MS) assert.equal(bench.store.state.heard, 'b');
      await release(' ');
    }
  });

  it('turns a knob and a part of the playing build, and remembers the controls for the next visit', async () => {
    await useMidi();
    await click('Learn gain knob');
    input.send(0x90, 60, 100);
    assert.equal(bench.store.state.builds.a.knobs['gain'], 0.5, 'a key is no knob');
    input.send(0xb3, 7, 64);
    input.send(0xb3, 7, 127);
    assert.equal(bench.store.state.builds.a.knobs['gain'], 1);
    const places = inside('hands-dialog').querySelector<HTMLSelectElement>(
      '[aria-label="What the knob turns"]',
    )!;
    places.value = 'part R4';
    places.dispatchEvent(new Event('change'));
    await drawn();
    await click('Learn value of R4');
    input.send(0xb3, 8, 64);
    input.send(0xb3, 8, 0);
    await bench.updateComplete;
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '470R');
    bench.remove();
    Object.defineProperty(navigator.permissions, 'query', {
      configurable: true,
      value: async () => ({ state: 'granted' }),
    });
    await openBench();
    await until('a device', () => input.onmidimessage !== null);
    Reflect.deleteProperty(navigator.permissions, 'query');
    input.send(0xb3, 7, 0);
    assert.equal(bench.store.state.builds.a.knobs['gain'], 0);
  });

  const refusals: [what: string, value: unknown, says: RegExp][] = [
    ['has no MIDI, where no setting helps', undefined, /^This browser has no MIDI\. (?!.*settings)/],
    [
      'was not allowed MIDI',
      () => Promise.reject(new DOMException('from the browser', 'NotAllowedError')),
      /^MIDI was not allowed\. Allow it in the browser’s settings/,
    ],
    [
      'cannot start MIDI',
      () => Promise.reject(new DOMException('no service', 'InvalidStateError')),
      /^MIDI did not start \(no service\)\. Connect the device, then press Use MIDI/,
    ],
  ];
  for (const [what, value, says] of refusals) {
    it(`reports that a browser ${what}`, async () => {
      Object.defineProperty(Navigator.prototype, 'requestMIDIAccess', { configurable: true, value });
      await useMidi();
      assert.match(inside('hands-dialog').querySelector('[role="alert"]')?.textContent ?? '', says);
    });
  }

  it('steps the chosen part with the arrow keys, and goes to the next', async () => {
    bench.store.act({ type: 'select', ref: 'R4' });
    await press('ArrowUp');
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '5k6');
    await press('ArrowDown');
    await press('ArrowDown');
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '3k9');
    await press('ArrowRight');
    assert.notEqual(bench.store.state.selected, 'R4');
  });

  it('does not use the arrow keys while a slider has the focus', async () => {
    const before = bench.store.state;
    const slider = inside('controls-panel').querySelector('input[type="range"]');
    slider?.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowUp', bubbles: true, composed: true }));
    assert.strictEqual(bench.store.state, before);
  });

  it('accepts a typed value with Enter and leaves the field, so that the space bar switches A and B again', async () => {
    bench.store.act({ type: 'select', ref: 'R4' });
    await drawn();
    const field = await typeAndEnter('part-card', 'Value of R4 in A', '2k2');
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '2k2');
    assert.equal(focused().getAttribute('aria-label'), 'R4 in build A');
    assert.isTrue(await pressWhereFocused(' '));
    assert.equal(bench.store.state.heard, 'b');
    assert.equal(field.value, '2k2');
    // The browser's Tab starts at the focus, so the field has the focus again before the browser moves it.
    assert.isFalse(await pressWhereFocused('Tab'));
    assert.strictEqual(focused(), field);
    assert.isFalse(inside('part-card').querySelector('.slot.a')?.hasAttribute('tabindex'));
  });

  for (const [component, label, text] of [
    ['build-bar', 'Title of build A', 'For Sunday'],
    ['part-card', 'D1: name on my board', 'D7'],
    ['conditions-panel', 'Temperature of the bench, degrees Celsius', '20'],
  ] as const) {
    it(`leaves the field "${label}" with Enter too`, async () => {
      for (const folded of ['part-card', 'conditions-panel'])
        inside(folded).querySelector('details')!.open = true;
      await drawn();
      const field = await typeAndEnter(component, label, text);
      assert.equal(field.value, text);
      assert.notInclude(['INPUT', 'BODY'], focused().tagName);
      await pressWhereFocused(' ');
      assert.equal(bench.store.state.heard, 'b');
    });
  }

  it('keeps the focus in a field whose text was refused', async () => {
    bench.store.act({ type: 'select', ref: 'R4' });
    await drawn();
    const field = await typeAndEnter('part-card', 'Value of R4 in A', '4k7k');
    assert.include(bench.store.state.refusal?.message, '4k7k');
    assert.strictEqual(focused(), field);
    assert.isFalse(await pressWhereFocused(' '));
  });

  it('leaves Enter to a field while an input method composes a character', async () => {
    const field = inside('build-bar').querySelector<HTMLInputElement>('[aria-label="Title of build A"]');
    field?.focus();
    field?.dispatchEvent(
      new KeyboardEvent('keydown', {
        key: 'Enter',
        isComposing: true,
        bubbles: true,
        composed: true,
        cancelable: true,
      }),
    );
    assert.strictEqual(focused(), field);
  });

  it('accepts capital letters too, as with Shift or Caps Lock', async () => {
    await press('E', { shiftKey: true });
    assert.isTrue(bench.store.state.isBypassed);
    await press('E');
    assert.isFalse(bench.store.state.isBypassed);
    await press('P');
    assert.isDefined(bench.store.state.probe);
    bench.store.act({ type: 'turnKnob', slot: 'a', name: 'gain', rotation: 1 });
    await press('Z', { ctrlKey: true });
    assert.equal(bench.store.state.builds.a.knobs['gain'], 0.5);
  });

  it('bypasses with E, and shows all keys with a question mark', async () => {
    await press('e');
    // Held down, it is one press.
    await press('e', { repeat: true });
    assert.isTrue(bench.store.state.isBypassed);
    await press('?');
    const dialog = inside('hands-dialog').querySelector('dialog');
    assert.isTrue(dialog?.open);
    dialog?.close();
  });

  it('puts the probe on a clicked net, on the nets of the chosen part with P, and back with Escape', async () => {
    const net = inside('build-schematic').querySelector('[data-net="clipped"]');
    net?.dispatchEvent(new MouseEvent('click', { bubbles: true }));
    await drawn();
    assert.equal(bench.store.state.probe, 'clipped');
    assert.exists(inside('build-schematic').querySelector('[data-net="clipped"].probed'));
    await press('Escape');
    assert.isUndefined(bench.store.state.probe);
    bench.store.act({ type: 'select', ref: 'R4' });
    await press('p');
    const first = bench.store.state.probe;
    await press('p');
    assert.includeMembers(['gain feedback', 'R4.2', 'C3.1'], [first, bench.store.state.probe]);
    assert.notEqual(bench.store.state.probe, first);
    await press('p');
    assert.isUndefined(bench.store.state.probe);
  });
});
