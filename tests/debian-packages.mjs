import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';

/** Whether packages may be installed here without asking: as root on Debian or Ubuntu, as in a container. */
export function mayInstallPackages() {
  return process.getuid?.() === 0 && isDebianLike() && existsSync('/usr/bin/apt-get');
}

/**
 * Installs packages of Debian and nothing that they only recommend. Throws where one of them is not to be had.
 *
 * @param {readonly string[]} packages
 * @param {string} purpose What for, in words.
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
 * The first of some programs that is on the path.
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
