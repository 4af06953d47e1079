import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, request, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
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
  server = createServer(staticFiles(path.join(folder, 'site')));
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
});

afterAll(() => {
  server.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Sends the path as it stands, where fetch would first resolve its dots. */
function ask(target: string, method = 'GET'): Promise<Answer> {
  const { port } = server.address() as AddressInfo;
  return new Promise((resolve, reject) => {
    const asked = request({ host: '127.0.0.1', port, path: target, method }, (response) => {
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

describe('staticFiles', () => {
  it('answers the root with the index page', async () => {
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

  it('lets scripts from strings run on the fallback page only', async () => {
    const main = await ask('/index.html');
    const fallback = await ask('/fallback.html');
    expect(main.headers['content-security-policy']).toContain("script-src 'self' 'wasm-unsafe-eval';");
    expect(fallback.headers['content-security-policy']).toContain("'unsafe-eval'");
  });

  it('lets hashed assets be kept and pages be asked for again', async () => {
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

  it('refuses methods that change things', async () => {
    expect((await ask('/', 'POST')).status).toBe(405);
  });
});
