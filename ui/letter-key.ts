/** Controls that letters are typed into or that use letters themselves; boxes, radio buttons and sliders do not. */
const OWN_LETTERS =
  'input:not([type="checkbox"], [type="radio"], [type="range"]), select, textarea, dialog, [contenteditable]';

/** Whether a key press is a letter that is meant for the page: nobody else took it, and it is not held down. */
export function isLetterKey(event: KeyboardEvent, letter: string): boolean {
  if (event.defaultPrevented || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return false;
  if (event.key.toLowerCase() !== letter) return false;
  return !event.composedPath().some((target) => target instanceof Element && target.matches(OWN_LETTERS));
}
