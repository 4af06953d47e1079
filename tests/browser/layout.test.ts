import { assert } from 'chai';
import { isDrawn, type OpenedFrame, openFrame, removeFrames } from './opened-frame.ts';
import { until } from './until.ts';

/** What is left of usual laptop screens by browser and desktop, and a large screen; CSS pixels. */
const SIZES = [
  [1440, 760],
  [1366, 625],
  [1920, 1080],
] as const;

/** A component of the bench and what of it has to be in sight; several of the kind where `all`. */
const SEEN = {
  'titles of the builds': ['build-bar', '.title'],
  schematic: ['build-schematic', '.paper'],
  'stages to go to': ['build-schematic', '.stages button'],
  swaps: ['swap-list', 'li button'],
  hiss: ['noise-panel', 'button'],
  'gain knob': ['controls-panel', 'input[type="range"]'],
  'type of the chosen part': ['part-card', '.slot.a select'],
  'number in series': ['part-card', '.slot.b label select'],
  fit: ['part-card', '.slot.a .segments'],
  'details of the card': ['part-card', 'summary'],
  'tabs of the plots': ['plots-panel', '.tabs'],
  plot: ['plots-panel', 'plot-frame'],
  'switch of A and B': ['switch-panel', 'button'],
  source: ['input-panel', 'select'],
  listen: ['output-panel', 'button'],
} as const;

describe('the bench on one screen', () => {
  let frame: OpenedFrame;

  before(async () => {
    localStorage.clear();
    localStorage.setItem('cliplead-welcomed', 'yes');
    frame = await openFrame();
    await until('the bench is drawn', () => isDrawn(frame), 60);
    await until('the plots are drawn', () => inside('plots-panel', 'plot-frame') !== undefined, 60);
  });

  after(removeFrames);

  function inside(component: string, selector: string): Element | undefined {
    const root = frame.bench()?.shadowRoot?.querySelector(component)?.shadowRoot;
    return root?.querySelector(selector) ?? undefined;
  }

  for (const [width, height] of SIZES) {
    it(`shows all that is used while playing at ${width}x${height}, without scrolling`, async () => {
      const element = document.querySelector('iframe')!;
      Object.assign(element, { width: `${width}`, height: `${height}` });
      element.style.border = '0';
      const unseen = () =>
        Object.entries(SEEN).flatMap(([what, [component, selector]]) => {
          const found = inside(component, selector);
          return found && isInSight(found, width, height) ? [] : [what];
        });
      await until(
        () => `in sight: ${unseen().join(', ')}`,
        () => unseen().length === 0,
        20,
      );
      assert.deepEqual(unseen(), []);
      const { documentElement } = frame.page.document;
      assert.isAtMost(documentElement.scrollHeight, height);
      assert.isAtMost(documentElement.scrollWidth, width);
    });
  }

  it('shows two plots at once on a large screen', async () => {
    Object.assign(document.querySelector('iframe')!, { width: '1920', height: '1080' });
    const plots = () => frame.bench()!.shadowRoot!.querySelector('plots-panel')!.shadowRoot!;
    await until('two plots', () => plots().querySelectorAll('plot-frame').length === 2);
    for (const plot of plots().querySelectorAll('plot-frame')) assert.isTrue(isInSight(plot, 1920, 1080));
  });
});

/** Inside the window and inside everything around it that scrolls. */
function isInSight(element: Element, width: number, height: number): boolean {
  const box = element.getBoundingClientRect();
  const bounds = { left: 0, top: 0, right: width, bottom: height };
  for (let around = parentOf(element); around; around = parentOf(around)) {
    const { overflowX, overflowY } = getComputedStyle(around);
    if (overflowX === 'visible' && overflowY === 'visible') continue;
    const { left, top, right, bottom } = around.getBoundingClientRect();
    bounds.left = Math.max(bounds.left, left);
    bounds.top = Math.max(bounds.top, top);
    bounds.right = Math.min(bounds.right, right);
    bounds.bottom = Math.min(bounds.bottom, bottom);
  }
  return (
    box.width > 0 &&
    box.height > 0 &&
    box.left >= bounds.left - 1 &&
    box.top >= bounds.top - 1 &&
    box.right <= bounds.right + 1 &&
    box.bottom <= bounds.bottom + 1
  );
}

function parentOf(element: Element): Element | undefined {
  const { parentNode } = element.assignedSlot ?? element;
  if (parentNode instanceof Element) return parentNode;
  const host = (parentNode as ShadowRoot | null)?.host;
  return host ?? undefined;
}
