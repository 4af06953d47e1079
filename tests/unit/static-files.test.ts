import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { createServer, request, type Server } from 'node:http';
import { type AddressInfo, connect } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { staticFiles } from '../../ui/static-files.mjs';

interface Answer {
  readonly status: number;
  readonly headers: Record<string, string | string[] | undefined>;
  readonly body: string;
}

let folder: string;
let server: Server;

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'cliplead-static-'));
  mkdirSync(path.join(folder, 'site/assets'), { recursive: true });
  writeFileSync(path.join(folder, 'secret.txt'), 'outside');
  writeFileSync(path.join(folder, 'site/index.html'), '<title>bench</title>');
  writeFileSync(path.join(folder, 'site/fallback.html'), '<title>fallback</title>');
  writeFileSync(path.join(folder, 'site/assets/riff.flac'), 'fLaC');
  mkdirSync(path.join(folder, 'other'));
  writeFileSync(path.join(folder, 'other/index.html'), 'outside');
  // On Windows only some users may make links.
  if (process.platform !== 'win32') {
    symlinkSync('../secret.txt', path.join(folder, 'site/link.txt'));
    symlinkSync('../other', path.join(folder, 'site/linked'));
    symlinkSync('loop', path.join(folder, 'site/loop'));
    symlinkSync('index.html', path.join(folder, 'site/inside.html'));
  }
  server = createServer({ requireHostHeader: false }, staticFiles(path.join(folder, 'site')));
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
});

afterAll(() => {
  server.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Sends the path unchanged; fetch would first resolve its dots. */
function ask(target: string, method = 'GET', headers: Record<string, string> = {}): Promise<Answer> {
  const { port } = server.address() as AddressInfo;
  return new Promise((resolve, reject) => {
    const asked = request({ host: '127.0.0.1', port, path: target, method, headers }, (response) => {
      let body = '';
      response.setEncoding('utf8');
      response.on('data', (text: string) => {
        body += text;
      });
      response.on('end', () =>
        resolve({ status: response.statusCode ?? 0, headers: response.headers, body }),
      );
    });
    asked.on('error', reject);
    asked.end();
  });
}

/** Status line of the response to bytes that no client would send. */
function statusOf(text: string): Promise<string> {
  const { port } = server.address() as AddressInfo;
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(text));
    socket.once('data', (answer: Buffer) => {
      resolve(answer.toString().split('\r\n')[0] ?? '');
      socket.destroy();
    });
    socket.once('error', reject);
  });
}

describe('staticFiles', () => {
  it('sends the index page for the root', async () => {
    const { status, headers, body } = await ask('/?build=x');
    expect(status).toBe(200);
    expect(headers['content-type']).toBe('text/html; charset=utf-8');
    expect(body).toBe('<title>bench</title>');
  });

  it('sends the headers that isolate the page', async () => {
    const { headers } = await ask('/');
    expect(headers['cross-origin-opener-policy']).toBe('same-origin');
    expect(headers['cross-origin-embedder-policy']).toBe('require-corp');
  });

  it('allows scripts from strings on the fallback page only', async () => {
    const main = await ask('/index.html');
    const fallback = await ask('/fallback.html');
    expect(main.headers['content-security-policy']).toContain("script-src 'self' 'wasm-unsafe-eval';");
    expect(fallback.headers['content-security-policy']).toContain("'unsafe-eval'");
  });

  it('allows hashed assets to be cached, but not pages', async () => {
    const asset = await ask('/assets/riff.flac');
    expect(asset.headers['content-type']).toBe('audio/flac');
    expect(asset.headers['cache-control']).toContain('immutable');
    expect((await ask('/')).headers['cache-control']).toBe('no-cache');
  });

  it('answers HEAD with the length and no body', async () => {
    const { headers, body } = await ask('/assets/riff.flac', 'HEAD');
    expect(headers['content-length']).toBe('4');
    expect(body).toBe('');
  });

  it.each([
    '/../secret.txt',
    '/%2e%2e/secret.txt',
    '/assets/..%2f..%2fsecret.txt',
    '/..%5csecret.txt',
    '/assets',
    '/assets/',
    '/missing.js',
    '/%',
    '/%00',
  ])('answers %s with 404', async (target) => {
    const { status, body } = await ask(target);
    expect(status).toBe(404);
    expect(body).not.toContain('outside');
  });

  it('refuses methods that change something', async () => {
    expect((await ask('/', 'POST')).status).toBe(405);
  });

  it.skipIf(process.platform === 'win32')(
    'follows links inside the folder, but not links to the outside',
    async () => {
      expect((await ask('/inside.html')).body).toBe('<title>bench</title>');
      for (const target of ['/link.txt', '/linked/', '/linked/index.html', '/loop']) {
        const { status, body } = await ask(target);
        expect([target, status]).toEqual([target, 404]);
        expect(body).not.toContain('outside');
      }
    },
  );

  it('accepts only the names of this machine, with the port that it serves', async () => {
    const { port } = server.address() as AddressInfo;
    for (const host of [`localhost:${port}`, `127.0.0.1:${port}`, `[::1]:${port}`, `LocalHost:${port}`])
      expect([host, (await ask('/', 'GET', { host })).status]).toEqual([host, 200]);
    for (const host of [
      'localhost',
      `localhost:${port + 1}`,
      `bench.example:${port}`,
      `localhost.example:${port}`,
      `127.0.0.1.example:${port}`,
      `127.0.0.2:${port}`,
      `user@localhost:${port}`,
    ]) {
      const { status, body } = await ask('/', 'GET', { host });
      expect([host, status]).toEqual([host, 403]);
      expect(body).not.toContain('bench</title>');
    }
    expect(await statusOf('GET / HTTP/1.1\r\n\r\n')).toBe('HTTP/1.1 403 Forbidden');
  });

  it.each([
    ['a page', '/', 'GET', {}, 200],
    ['an asset', '/assets/riff.flac', 'HEAD', {}, 200],
    ['what is not there', '/missing.js', 'GET', {}, 404],
    ['a method that is none', '/', 'DELETE', {}, 405],
    ['another host', '/', 'GET', { host: 'bench.example' }, 403],
  ] as const)('sends its security headers with %s', async (_, target, method, more, expected) => {
    const { status, headers } = await ask(target, method, more);
    expect(status).toBe(expected);
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['referrer-policy']).toBe('no-referrer');
    expect(headers['cross-origin-resource-policy']).toBe('same-origin');
    expect(headers['content-security-policy']).toContain("frame-ancestors 'self'");
    const permissions = String(headers['permissions-policy']).split(', ');
    expect(permissions).toEqual(expect.arrayContaining(['microphone=(self)', 'midi=(self)', 'camera=()']));
  });
});
