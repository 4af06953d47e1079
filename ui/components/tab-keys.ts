/**
 * The tab that a key goes to in a row of tabs, round at the ends; undefined for any other key.
 *
 * @see the pattern "Tabs" of the WAI-ARIA Authoring Practices Guide
 */
export function tabAtKey<T>(key: string, tabs: readonly T[], chosen: T): T | undefined {
  const index = tabs.indexOf(chosen);
  switch (key) {
    case 'ArrowLeft':
      return tabs.at(index - 1);
    case 'ArrowRight':
      return tabs[(index + 1) % tabs.length];
    case 'Home':
      return tabs[0];
    case 'End':
      return tabs.at(-1);
    default:
      return undefined;
  }
}
