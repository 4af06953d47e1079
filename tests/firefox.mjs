import { existsSync } from 'node:fs';
import puppeteer from 'puppeteer-core';
import { installPackages, mayInstallPackages, programOnPath } from './debian-packages.mjs';

const COMMANDS = ['firefox-esr', 'firefox'];
const MAC_PROGRAM = '/Applications/Firefox.app/Contents/MacOS/firefox';
const WINDOWS_PROGRAM = 'C:\\Program Files\\Mozilla Firefox\\firefox.exe';
const ADVICE = 'The tests in Firefox need it: install firefox-esr or firefox, or set FIREFOX_PATH to it.';

/** Firefox preferences for the tests: sound without a click, a fake input, timers as in a front window. */
const PREFERENCES = {
  'media.autoplay.default': 0,
  'media.autoplay.blocking_policy': 0,
  'media.block-autoplay-until-in-foreground': false,
  'media.navigator.streams.fake': true,
  'media.navigator.permission.disabled': true,
  'dom.min_background_timeout_value': 4,
  'dom.timeout.enable_budget_timer_throttling': false,
};

/**
 * Path of Firefox: `FIREFOX_PATH` if set, otherwise an installed one, otherwise, for root on Debian, a newly
 * installed one. Throws an Error that says what to install.
 *
 * @returns {string}
 */
export function requireFirefox() {
  const named = process.env['FIREFOX_PATH'];
  if (named !== undefined && named !== '') {
    if (existsSync(named)) return named;
    throw new Error(`FIREFOX_PATH names ${named}, and there is no such file.`);
  }
  const installed = installedFirefox() ?? freshFirefox();
  if (installed === undefined) throw new Error(ADVICE);
  return installed;
}

/** @returns {string | undefined} */
function installedFirefox() {
  return programOnPath(COMMANDS) ?? [MAC_PROGRAM, WINDOWS_PROGRAM].find((file) => existsSync(file));
}

function freshFirefox() {
  if (!mayInstallPackages()) return undefined;
  try {
    installPackages(['firefox-esr'], 'the tests in Firefox');
  } catch (cause) {
    throw new Error(ADVICE, { cause });
  }
  return installedFirefox();
}

/**
 * Starts Firefox without a window, over WebDriver BiDi, with a new profile. It does not report requests: the copies that
 * it would keep of every response grew to 2 GB over the test files, and each file ran slower than the one before.
 *
 * @param {string} executablePath
 * @param {Record<string, unknown>} [preferences] Additional ones.
 */
export function launchFirefox(executablePath, preferences = {}) {
  return puppeteer.launch({
    browser: 'firefox',
    executablePath,
    headless: true,
    networkEnabled: false,
    extraPrefsFirefox: { ...PREFERENCES, ...preferences },
  });
}
