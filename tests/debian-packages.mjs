import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';

/** Whether packages may be installed here without asking: for root on Debian or Ubuntu, as in a container. */
export function mayInstallPackages() {
  return process.getuid?.() === 0 && isDebianLike() && existsSync('/usr/bin/apt-get');
}

/**
 * Installs Debian packages without the packages that they only recommend. Throws if one of them is not available.
 *
 * @param {readonly string[]} packages
 * @param {string} purpose The purpose, in words.
 */
export function installPackages(packages, purpose) {
  console.log(`Installing ${packages.join(', ')} with apt-get for ${purpose}`);
  /** @type {import('node:child_process').ExecFileSyncOptions} */
  const options = {
    stdio: ['ignore', 'ignore', 'inherit'],
    env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
  };
  execFileSync('apt-get', ['update', '-qq'], options);
  execFileSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', ...packages], options);
}

/**
 * The first of several programs that is on the path.
 *
 * @param {readonly string[]} names
 * @returns {string | undefined} Its file.
 */
export function programOnPath(names) {
  if (process.platform === 'win32') return undefined;
  const folders = (process.env['PATH'] ?? '').split(path.delimiter);
  const files = names.flatMap((name) => folders.map((folder) => path.join(folder, name)));
  return files.find((file) => existsSync(file));
}

function isDebianLike() {
  return (
    existsSync('/etc/os-release') && /\b(debian|ubuntu)\b/i.test(readFileSync('/etc/os-release', 'utf8'))
  );
}
