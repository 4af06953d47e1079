/** Whether a media query matches; false if the browser cannot tell. */
export function matchesMedia(query: string): boolean {
  return typeof matchMedia === 'function' && matchMedia(query).matches;
}
