import { existsSync } from 'node:fs';
import { installPackages, mayInstallPackages, programOnPath } from './debian-packages.mjs';

/** The packages that WebKitGTK needs without a screen, a session bus and a sound card. */
const PACKAGES = [
  'webkit2gtk-driver',
  'xvfb',
  'xauth',
  'dbus-daemon',
  'gstreamer1.0-plugins-base',
  'gstreamer1.0-plugins-good',
  'gstreamer1.0-pulseaudio',
];
const PROGRAMS = ['WebKitWebDriver', 'xvfb-run', 'xauth', 'dbus-run-session'];
const ADVICE = `The test in WebKitGTK needs ${PACKAGES.join(', ')} of Debian: install them.`;
/** The path at which Debian's library installs the browser that its driver starts. */
const BROWSER_FOLDERS = ['x86_64', 'aarch64'].map(
  (machine) => `/usr/lib/${machine}-linux-gnu/webkit2gtk-4.1`,
);

/**
 * Installs WebKitGTK with its driver if it is missing and may be installed. Throws an Error that says what to
 * install.
 *
 * @returns {{ driver: string, browser: string }} Paths of the programs.
 */
export function requireWebkit() {
  if (!isInstalled() && mayInstallPackages()) {
    try {
      installPackages(PACKAGES, 'the test in WebKitGTK');
    } catch (cause) {
      throw new Error(ADVICE, { cause });
    }
  }
  const driver = programOnPath(['WebKitWebDriver']);
  const browser = BROWSER_FOLDERS.map((folder) => `${folder}/MiniBrowser`).find((file) => existsSync(file));
  if (!isInstalled() || driver === undefined || browser === undefined) throw new Error(ADVICE);
  return { driver, browser };
}

function isInstalled() {
  return PROGRAMS.every((program) => programOnPath([program]) !== undefined);
}
