import { existsSync } from 'node:fs';
import { homedir } from 'node:os';
import path from 'node:path';
import { chromium } from 'playwright-core';
import { installPackages, mayInstallPackages, programOnPath } from './debian-packages.mjs';

const COMMANDS = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome'];
const MAC_APPLICATIONS = ['Google Chrome', 'Chromium'];
const ADVICE = 'The browser tests need Chromium or Chrome: install one, or set CHROME_PATH to it.';
const WINDOWS_PROGRAM = 'Google\\Chrome\\Application\\chrome.exe';

/**
 * Chromium options for the browser tests: no device or network service that could ask the user or wait, and
 * audio that starts without a click. For root, as in a container, there is no sandbox, which needs a user namespace.
 *
 * @type {readonly string[]}
 */
export const CHROMIUM_FLAGS = [
  ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
  '--disable-gpu',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--no-first-run',
  '--disable-quic',
  '--autoplay-policy=no-user-gesture-required',
];

/**
 * Path of a Chromium or Chrome: `CHROME_PATH` if set, otherwise an installed one, otherwise, for root on
 * Debian or Ubuntu, a newly installed one. Throws an Error that says what to install.
 */
export function requireChromium() {
  const named = process.env['CHROME_PATH'];
  if (named !== undefined && named !== '') {
    if (existsSync(named)) return named;
    throw new Error(`CHROME_PATH names ${named}, and there is no such file.`);
  }
  return installedChromium() ?? freshChromium();
}

export function installedChromium() {
  const others = [...placesOfPlatform(), chromium.executablePath()];
  return programOnPath(COMMANDS) ?? others.find((file) => existsSync(file));
}

/** @returns {string[]} */
function placesOfPlatform() {
  if (process.platform === 'darwin') {
    return ['/', homedir()].flatMap((root) =>
      MAC_APPLICATIONS.map((name) => path.join(root, `Applications/${name}.app/Contents/MacOS/${name}`)),
    );
  }
  if (process.platform === 'win32') {
    return ['PROGRAMFILES', 'PROGRAMFILES(X86)', 'LOCALAPPDATA']
      .map((name) => process.env[name])
      .filter((folder) => folder !== undefined)
      .map((folder) => path.join(folder, WINDOWS_PROGRAM));
  }
  return ['/usr/bin/chromium', '/snap/bin/chromium', '/opt/google/chrome/chrome'];
}

function freshChromium() {
  if (!mayInstallPackages()) throw new Error(ADVICE);
  try {
    installPackages(['chromium'], 'the browser tests');
  } catch (cause) {
    throw new Error(ADVICE, { cause });
  }
  const installed = installedChromium();
  if (installed === undefined) throw new Error(ADVICE);
  return installed;
}
