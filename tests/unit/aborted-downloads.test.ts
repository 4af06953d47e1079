import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';

const SERVER = fileURLToPath(new URL('./served-folder.mjs', import.meta.url));
/**
 * Much more than the buffers of a connection hold: the server is still reading the file when the client closes the
 * connection.
 */
const FILE_BYTES = 16_000_000;
const DOWNLOADS = 300;
/** File descriptors that node itself opens and closes. */
const SPARE_DESCRIPTORS = 20;

let folder: string;
let server: ChildProcess;
let port: number;

beforeEach(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'cliplead-downloads-'));
  writeFileSync(path.join(folder, 'take.wav'), new Uint8Array(FILE_BYTES));
  writeFileSync(path.join(folder, 'index.html'), '<title>bench</title>');
  server = fork(SERVER, [folder]);
  port = await told();
});

afterEach(async () => {
  server.kill();
  if (server.exitCode === null && server.signalCode === null) await once(server, 'exit');
  rmSync(folder, { recursive: true, force: true });
});

/** The next number that the server process prints. */
async function told(): Promise<number> {
  const [number] = (await once(server, 'message')) as [number];
  return number;
}

function openDescriptors(): Promise<number> {
  const answer = told();
  server.send('descriptors');
  return answer;
}

/** Begins a download and closes the connection when the first bytes arrive. */
async function leaveDownload(): Promise<void> {
  const socket = connect(port, '127.0.0.1');
  socket.write(`GET /take.wav HTTP/1.1\r\nHost: localhost:${port}\r\n\r\n`);
  await once(socket, 'data');
  socket.destroy();
  await once(socket, 'close');
}

describe('downloads that the client stops', () => {
  it.skipIf(!existsSync('/proc/self/fd'))('leave no file open on the server', async () => {
    const before = await openDescriptors();
    for (let download = 0; download < DOWNLOADS; download++) await leaveDownload();
    let now = await openDescriptors();
    // The server notices the last closed connections a moment later.
    for (let attempt = 0; attempt < 500 && now > before + SPARE_DESCRIPTORS; attempt++) {
      await new Promise((resolve) => setTimeout(resolve, 20));
      now = await openDescriptors();
    }
    expect(now).toBeLessThanOrEqual(before + SPARE_DESCRIPTORS);
    const page = await fetch(`http://localhost:${port}/`);
    expect(await page.text()).toBe('<title>bench</title>');
  });
});
