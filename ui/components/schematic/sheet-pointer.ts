interface SheetView {
  readonly paper: () => HTMLElement;
  /** @param at Pixels from the paper's corner. */
  readonly zoom: (factor: number, at: { readonly x: number; readonly y: number }) => void;
}

/** A mouse that moved less than this has clicked, pixels. */
const CLICK_SLACK_PX = 4;
/** Zoom per pixel of a wheel turned with Ctrl held, which is also what a trackpad's pinch sends. */
const WHEEL_ZOOM = 0.0025;

/** Panning by dragging and zooming by wheel and pinch. Fingers and wheels pan as in any scrolled box. */
export class SheetPointer {
  readonly #view: SheetView;
  readonly #fingers = new Map<number, { x: number; y: number }>();
  #drag: { x: number; y: number; left: number; top: number; isMoving: boolean } | undefined;

  constructor(view: SheetView) {
    this.#view = view;
  }

  onWheel = (event: WheelEvent): void => {
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    this.#view.zoom(Math.exp(-event.deltaY * WHEEL_ZOOM), this.#place(event));
  };

  onDown = (event: PointerEvent): void => {
    if (event.pointerType === 'mouse') {
      if (event.button !== 0) return;
      const { scrollLeft, scrollTop } = this.#view.paper();
      this.#drag = { x: event.clientX, y: event.clientY, left: scrollLeft, top: scrollTop, isMoving: false };
    } else {
      this.#fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    }
  };

  onMove = (event: PointerEvent): void => {
    if (event.pointerType === 'mouse') this.#dragTo(event);
    else this.#pinchTo(event);
  };

  onUp = (event: PointerEvent): void => {
    this.#fingers.delete(event.pointerId);
    this.#drag = undefined;
  };

  #dragTo(event: PointerEvent): void {
    const drag = this.#drag;
    if (!drag) return;
    const [dx, dy] = [event.clientX - drag.x, event.clientY - drag.y];
    if (!drag.isMoving && Math.hypot(dx, dy) < CLICK_SLACK_PX) return;
    if (!drag.isMoving) this.#view.paper().setPointerCapture(event.pointerId);
    drag.isMoving = true;
    this.#view.paper().scrollTo(drag.left - dx, drag.top - dy);
  }

  #pinchTo(event: PointerEvent): void {
    const before = this.#fingers.get(event.pointerId);
    const other = [...this.#fingers].find(([id]) => id !== event.pointerId)?.[1];
    if (!before) return;
    const after = { x: event.clientX, y: event.clientY };
    this.#fingers.set(event.pointerId, after);
    if (!other || this.#fingers.size !== 2) return;
    const distance = (point: { x: number; y: number }) => Math.hypot(point.x - other.x, point.y - other.y);
    if (distance(before) > 0) this.#view.zoom(distance(after) / distance(before), this.#place(event));
  }

  #place(event: MouseEvent): { x: number; y: number } {
    const { left, top } = this.#view.paper().getBoundingClientRect();
    return { x: event.clientX - left, y: event.clientY - top };
  }
}
