import { installPackages, mayInstallPackages, programOnPath } from '../debian-packages.mjs';

const PROGRAMS = ['pdftoppm', 'pdftotext'];

/**
 * Finds what renders a PDF and reads its text, or installs it for root on Debian or Ubuntu.
 *
 * @returns {string | undefined} Why printed pages cannot be checked here, in one line; undefined where they can.
 */
export function missingPoppler() {
  if (isHere()) return undefined;
  if (mayInstallPackages()) {
    try {
      installPackages(['poppler-utils'], 'the pages that the tests print');
    } catch {
      // The line below says what is missing.
    }
  }
  return isHere()
    ? undefined
    : 'Printed pages are not checked here: install poppler-utils, which has pdftoppm and pdftotext.';
}

function isHere() {
  return PROGRAMS.every((name) => programOnPath([name]) !== undefined);
}
