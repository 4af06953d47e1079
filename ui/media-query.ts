/** Whether the page is as a media query asks; no, where the browser cannot say. */
export function matchesMedia(query: string): boolean {
  return typeof matchMedia === 'function' && matchMedia(query).matches;
}
