import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer as createHttpServer } from 'node:http';
import { type AddressInfo, createServer, type Server } from 'node:net';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, it } from 'vitest';
import { listenLocally, PortTakenError } from '../../ui/local-server.mjs';

const SERVE = fileURLToPath(new URL('../../ui/serve.mjs', import.meta.url));

let open: { close: () => void }[] = [];
afterEach(() => {
  for (const each of open) each.close();
  open = [];
});

/** A program that uses a port of this machine. @returns The port. */
async function occupied(server: Server, host = '127.0.0.1'): Promise<number> {
  open.push(server);
  server.listen(0, host);
  await once(server, 'listening');
  return (server.address() as AddressInfo).port;
}

/** The output of `npm start`, on which stream, and its exit code. */
async function start(
  args: readonly string[],
  port?: string,
): Promise<{ code: number; out: string; err: string }> {
  const { PORT: _, ...others } = process.env;
  const child = spawn(process.execPath, [SERVE, ...args], {
    env: port === undefined ? others : { ...others, PORT: port },
  });
  open.push({ close: () => child.kill() });
  let out = '';
  let err = '';
  child.stdout.on('data', (text: Buffer) => {
    out += text.toString();
  });
  child.stderr.on('data', (text: Buffer) => {
    err += text.toString();
  });
  const [code] = (await once(child, 'close')) as [number];
  return { code, out, err };
}

const bench = () =>
  createHttpServer((_, response) => {
    response.end('<!doctype html><title>Cliplead</title>');
  });

describe('a port that is in use', () => {
  it('is reported as the bench’s where a bench answers there, and no other port is used instead', async () => {
    const port = await occupied(bench());
    const { code, out, err } = await start(['--port', `${port}`]);
    expect([code, out]).toEqual([1, '']);
    expect(err).toContain(`Cliplead already runs at http://localhost:${port}.`);
    expect(err).toContain(`npm start -- --port ${port + 1}`);
    expect(err).toContain('builds and riffs of its own');
  });

  it('is reported as another program’s where something else answers', async () => {
    const port = await occupied(createHttpServer((_, response) => void response.end('<title>Notes</title>')));
    const { code, err } = await start([], `${port}`);
    expect(code).toBe(1);
    expect(err).toContain(`Port ${port} is taken by another program.`);
  });

  it('is reported as another program’s where nothing answers', async () => {
    const port = await occupied(createServer(() => {}));
    const { code, err } = await start([], `${port}`);
    expect(code).toBe(1);
    expect(err).toContain(`Port ${port} is taken by another program.`);
  });

  it('counts as in use if only one of the addresses of localhost is in use', async (context) => {
    const server = createServer(() => {});
    const hasIpv6 = await occupied(server, '::1').catch(() => undefined);
    if (hasIpv6 === undefined) context.skip();
    await expect(listenLocally(hasIpv6!, () => {})).rejects.toThrow(PortTakenError);
    // The sockets that were opened for it are closed again.
    const again = createServer(() => {});
    open.push(again);
    again.listen(hasIpv6!, '127.0.0.1');
    await once(again, 'listening');
  });

  it.each([
    [['--port', 'four'], undefined, '--port takes a whole number from 0 to 65535, not "four"'],
    [['--port', '65536'], undefined, '--port takes'],
    [[], '4180.5', 'PORT takes a whole number from 0 to 65535, not "4180.5"'],
  ])('has to be a number: %j, PORT %s', async (args, port, message) => {
    const { code, err } = await start(args, port);
    expect(code).toBe(1);
    expect(err).toContain(message);
  });
});

describe('a server for this machine', () => {
  it('answers at every existing address of localhost', async () => {
    const server = await listenLocally(0, (_, response) => void response.end('here'));
    open.push(server);
    for (const host of ['127.0.0.1', 'localhost']) {
      const answer = await fetch(`http://${host}:${server.port}/`);
      expect(await answer.text()).toBe('here');
    }
  });
});
