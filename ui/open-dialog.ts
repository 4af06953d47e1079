/** Whether a dialog is open in here, also within components: all dialogs of the bench are modal. */
export function hasOpenDialog(root: ParentNode): boolean {
  return (
    root.querySelector('dialog[open]') !== null ||
    [...root.querySelectorAll('*')].some(({ shadowRoot }) => shadowRoot !== null && hasOpenDialog(shadowRoot))
  );
}
