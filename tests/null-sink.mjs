import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { installPackages, mayInstallPackages, programOnPath } from './debian-packages.mjs';

const RATE_HZ = 48_000;
const START_SECONDS = 20;

/**
 * Firefox and WebKitGTK run an AudioContext only if there is an output. This starts a sound server for the tests
 * whose output goes nowhere, so that they need no sound card and make no sound, and sets `PULSE_SERVER` for
 * programs that are started from now on. If there is no pulseaudio and it may not be installed, the machine's own sound
 * is used.
 *
 * @returns {Promise<() => void>} A function that stops it.
 */
export async function startNullSink() {
  const program = findPulseaudio();
  if (program === undefined) return () => {};
  const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-sound-'));
  const socket = path.join(folder, 'socket');
  const server = spawn(
    program,
    [
      '-n',
      '--daemonize=no',
      '--exit-idle-time=-1',
      '--use-pid-file=no',
      ['-L', `module-native-protocol-unix socket=${socket} auth-anonymous=1`],
      ['-L', `module-null-sink rate=${RATE_HZ}`],
    ].flat(),
    { stdio: 'ignore', env: { ...process.env, HOME: folder, XDG_RUNTIME_DIR: folder } },
  );
  const end = () => {
    server.kill();
    rmSync(folder, { recursive: true, force: true });
  };
  process.once('exit', end);
  await socketOf(server, socket);
  process.env['PULSE_SERVER'] = `unix:${socket}`;
  return () => {
    process.off('exit', end);
    delete process.env['PULSE_SERVER'];
    end();
  };
}

/**
 * Installs pulseaudio if it is missing and may be installed. Throws an Error if that fails.
 *
 * @returns {string | undefined} The program; undefined if there is none.
 */
export function findPulseaudio() {
  const installed = programOnPath(['pulseaudio']);
  if (installed !== undefined || !mayInstallPackages()) return installed;
  try {
    installPackages(['pulseaudio'], 'an output that is not heard');
  } catch (cause) {
    throw new Error('The tests need an output to play to: install pulseaudio.', { cause });
  }
  return programOnPath(['pulseaudio']);
}

/**
 * Waits until the server listens.
 *
 * @param {import('node:child_process').ChildProcess} server
 * @param {string} socket
 */
async function socketOf(server, socket) {
  let problem = '';
  server.once('error', (error) => {
    problem = error.message;
  });
  for (let waited = 0; waited < 50 * START_SECONDS; waited++) {
    if (existsSync(socket)) return;
    if (problem !== '' || server.exitCode !== null) break;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error(`pulseaudio did not start (${problem || `exit code ${server.exitCode}`}).`);
}
