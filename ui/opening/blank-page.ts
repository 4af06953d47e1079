/** What can be told of a component, without loading what components are made of. */
type Component = Element & { readonly hasUpdated?: boolean };

/**
 * Whether the bench, or a part of it, should be on the page and was never drawn: a component that throws on its first
 * drawing leaves its place empty. To be asked in a task of its own, by when what draws has drawn.
 */
export function isBlank(bench: Component | null): boolean {
  return !bench?.shadowRoot || hasGap(bench);
}

function hasGap(component: Component): boolean {
  if (component.hasUpdated === false) return true;
  const inside = component.shadowRoot?.querySelectorAll<Component>('*') ?? [];
  return [...inside].some((element) => element.shadowRoot !== null && hasGap(element));
}
