/** Properties of a component, without loading lit. */
type Component = Element & { readonly hasUpdated?: boolean };

/**
 * Whether the bench, or a part of it, should be on the page but was never drawn: a component that throws at its
 * first drawing stays empty. To be called in a later task, when drawing is complete.
 */
export function isBlank(bench: Component | null): boolean {
  return !bench?.shadowRoot || hasGap(bench);
}

function hasGap(component: Component): boolean {
  if (component.hasUpdated === false) return true;
  const inside = component.shadowRoot?.querySelectorAll<Component>('*') ?? [];
  return [...inside].some((element) => element.shadowRoot !== null && hasGap(element));
}
