/**
 * The language of numbers: the browser's, or that of the page if the browser's is not a language tag. WebKitGTK
 * gives "C" on a system without a language, for which `Intl` throws.
 */
export function languageTag(browsers: string, pages: string): string {
  try {
    return Intl.getCanonicalLocales(browsers).length > 0 ? browsers : pages;
  } catch {
    return pages;
  }
}

/** Puts it in the browser's place, for the plotting library, which formats in `navigator.language` as soon as it loads. */
export function mendLanguageTag(): void {
  const tag = languageTag(navigator.language, document.documentElement.lang || 'en');
  if (tag !== navigator.language) Object.defineProperty(navigator, 'language', { value: tag });
}
