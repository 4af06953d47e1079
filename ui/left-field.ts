/** Target of the focus after a field: its label or group, which a screen reader announces by name. */
const PLACES = 'label, li, [role="group"][aria-label]';

/** The text or number field that an event came from; none in a dialog, whose Enter is its own. */
export function fieldOf(event: Event): HTMLInputElement | undefined {
  const path = event.composedPath();
  const [field] = path;
  const isField = field instanceof HTMLInputElement && (field.type === 'text' || field.type === 'number');
  return isField && !path.some((each) => each instanceof HTMLDialogElement) ? field : undefined;
}

/**
 * Accepts the typed text and leaves the field, so that the next keys are for the bench. The focus goes to the
 * label or group of the field; Tab continues from the field.
 *
 * @param wasRefused Called after the text was accepted: if it was refused, the field gets the focus back,
 * unless something else has it.
 */
export function leaveField(
  event: KeyboardEvent,
  field: HTMLInputElement,
  wasRefused: () => Promise<boolean>,
): void {
  const place = event.composedPath().find((each): each is HTMLElement => isPlace(each));
  // A field that loses the focus emits `change`, as with a click elsewhere.
  field.blur();
  if (place) focusPlace(place, field);
  void wasRefused().then((isRefused) => {
    const focused = (field.getRootNode() as Document | ShadowRoot).activeElement;
    if (isRefused && (focused === null || focused === place || focused === document.body)) field.focus();
  });
}

function isPlace(target: EventTarget): boolean {
  return target instanceof HTMLElement && target.matches(PLACES);
}

/** The place takes the focus only this once: a click there later must not mark it. */
function focusPlace(place: HTMLElement, field: HTMLInputElement): void {
  const goOn = (event: KeyboardEvent) => {
    // The browser then goes to what comes after the field, or before it.
    if (event.key === 'Tab' && event.target === place) field.focus();
  };
  place.tabIndex = -1;
  place.focus({ preventScroll: true });
  place.addEventListener('keydown', goOn);
  place.addEventListener(
    'blur',
    () => {
      place.removeEventListener('keydown', goOn);
      place.removeAttribute('tabindex');
    },
    { once: true },
  );
}
