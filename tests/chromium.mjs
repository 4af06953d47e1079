import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { homedir } from 'node:os';
import path from 'node:path';
import { chromium } from 'playwright-core';

const COMMANDS = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome'];
const MAC_APPLICATIONS = ['Google Chrome', 'Chromium'];
const ADVICE = 'The browser tests need Chromium or Chrome: install one, or set CHROME_PATH to it.';
const WINDOWS_PROGRAM = 'Google\\Chrome\\Application\\chrome.exe';

/**
 * What the browser tests need of Chromium: no device or network service that could prompt or wait, and
 * audio that starts without a click. Root, as in a container, has no user namespace to build a sandbox from.
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
 * Path of a Chromium or Chrome: `CHROME_PATH` if set, else the one that is installed, else, for root on
 * Debian or Ubuntu, a freshly installed one. Throws an Error that says what to install.
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
  return candidates().find((file) => existsSync(file));
}

/** @returns {string[]} */
function candidates() {
  const folders = (process.env['PATH'] ?? '').split(path.delimiter);
  const onPath = process.platform === 'win32' ? [] : COMMANDS;
  return [
    ...onPath.flatMap((command) => folders.map((folder) => path.join(folder, command))),
    ...placesOfPlatform(),
    chromium.executablePath(),
  ];
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
  if (process.getuid?.() !== 0 || !isDebianLike() || !existsSync('/usr/bin/apt-get')) {
    throw new Error(ADVICE);
  }
  console.log('Installing chromium with apt-get for the browser tests');
  /** @type {import('node:child_process').ExecFileSyncOptions} */
  const options = {
    stdio: ['ignore', 'ignore', 'inherit'],
    env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
  };
  try {
    execFileSync('apt-get', ['update', '-qq'], options);
    execFileSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'chromium'], options);
  } catch (cause) {
    throw new Error(ADVICE, { cause });
  }
  const installed = installedChromium();
  if (installed === undefined) throw new Error(ADVICE);
  return installed;
}

function isDebianLike() {
  return (
    existsSync('/etc/os-release') && /\b(debian|ubuntu)\b/i.test(readFileSync('/etc/os-release', 'utf8'))
  );
}
