import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { installPackages, mayInstallPackages, programOnPath } from './debian-packages.mjs';

const RATE_HZ = 48_000;
const START_SECONDS = 20;

/**
 * Firefox and WebKitGTK run an AudioContext only where there is an output. This starts a sound server of the tests' own
 * whose output is nowhere, so that they need no sound card and disturb nobody, and points `PULSE_SERVER` at it for
 * what is started from now on. Where there is no pulseaudio and none may be installed, the machine's own sound is used.
 *
 * @returns {Promise<() => void>} Ends it.
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
 * Installs pulseaudio where it is missing and that may be done. Throws an Error where that fails.
 *
 * @returns {string | undefined} The program; undefined where there is none.
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
