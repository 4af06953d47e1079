import type { ClipleadBench } from '../../ui/bench.ts';
import { framesDrawn } from './until.ts';

/** The size of the frame that a bench was opened in. */
export function resize(width: number, height: number): void {
  const element = document.querySelector('iframe')!;
  Object.assign(element, { width: `${width}`, height: `${height}` });
  element.style.border = '0';
}

/** The bench with the bar above it, which measures its text after it was drawn. */
export async function drawn(bench: ClipleadBench): Promise<void> {
  await bench.updateComplete;
  await framesDrawn(2);
  await bench.updateComplete;
}

/** Inside the window and inside everything around it that scrolls. */
export function isInSight(element: Element, width: number, height: number): boolean {
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

/** What can be pressed and is less than 44 px high or wide (WCAG 2.5.5), in all components of a page. */
export function smallTargets(root: ShadowRoot): readonly string[] {
  const all = [...root.querySelectorAll('*')];
  const within = all.flatMap((element) => (element.shadowRoot ? smallTargets(element.shadowRoot) : []));
  const small = all.filter((element) => {
    if (!element.matches('button, select, summary, input:not([type="file"])') || !element.checkVisibility())
      return false;
    const target = element.matches('[type="checkbox"], [type="radio"]')
      ? (element.closest('label') ?? element)
      : element;
    const { width, height } = target.getBoundingClientRect();
    return width > 0 && (height < 44 || width < 44);
  });
  return [...within, ...small.map((element) => element.outerHTML.slice(0, 120))];
}

function parentOf(element: Element): Element | undefined {
  const { parentNode } = element.assignedSlot ?? element;
  if (parentNode instanceof Element) return parentNode;
  const host = (parentNode as ShadowRoot | null)?.host;
  return host ?? undefined;
}

/** Every element here and in components inside components. */
export function everything(root: ParentNode): readonly Element[] {
  return [...root.querySelectorAll('*')].flatMap((element) => [
    element,
    ...(element.shadowRoot ? everything(element.shadowRoot) : []),
  ]);
}

/** Elements with text of their own that can be seen. Drawings have sizes of their own. */
function withText(root: ParentNode): readonly Element[] {
  return everything(root).filter(
    (element) =>
      !element.matches('style, option, .visually-hidden') &&
      element.closest('svg') === null &&
      [...element.childNodes].some(
        ({ nodeType, textContent }) => nodeType === 3 && textContent?.trim() !== '',
      ) &&
      element.checkVisibility({ visibilityProperty: true }) &&
      element.getBoundingClientRect().width > 1,
  );
}

/**
 * Texts that end outside of the window or are cut within a box, sideways. What scrolls in a frame of its own, and a title
 * that ends with dots, are neither.
 */
export function cutTexts(root: ParentNode, width: number): readonly string[] {
  return withText(root).flatMap((element) => {
    const box = element.getBoundingClientRect();
    let [left, right] = [0, width];
    for (let around: Element | undefined = element; around; around = parentOf(around)) {
      const { overflowX, textOverflow } = getComputedStyle(around);
      if (overflowX === 'auto' || overflowX === 'scroll' || textOverflow === 'ellipsis') return [];
      if (overflowX === 'visible' || around === element) continue;
      const bounds = around.getBoundingClientRect();
      [left, right] = [Math.max(left, bounds.left), Math.min(right, bounds.right)];
    }
    return box.left < left - 1 || box.right > right + 1
      ? [`${element.localName} "${element.textContent?.trim().slice(0, 40)}"`]
      : [];
  });
}

/** Texts that are smaller than that, px. */
export function smallTexts(root: ParentNode, leastPx: number): readonly string[] {
  return withText(root).flatMap((element) => {
    const px = Number.parseFloat(getComputedStyle(element).fontSize);
    return px < leastPx
      ? [`${px} px: ${element.localName} "${element.textContent?.trim().slice(0, 40)}"`]
      : [];
  });
}
