import { createServer } from 'node:http';

/** Browsers take `localhost` for either. */
const LOOPBACKS = /** @type {const} */ (['127.0.0.1', '::1']);
/** A machine without IPv6 says one of these. */
const NO_SUCH_ADDRESS = new Set(['EADDRNOTAVAIL', 'EAFNOSUPPORT', 'EINVAL']);
/** How long whoever has a port may take to say who it is, ms. */
const PATIENCE_MS = 2000;
const OWN_TITLE = '<title>Cliplead</title>';

/** @typedef {import('node:http').RequestListener} Answer */

/** The port is used by another program. */
export class PortTakenError extends Error {
  /** @param {number} port */
  constructor(port) {
    super(`Port ${port} is taken`);
    this.port = port;
  }
}

/**
 * Listens on this machine only.
 *
 * @param {number} port 0 leaves the choice to the system.
 * @param {Answer} answer
 * @returns {Promise<{ port: number, close: () => void }>} The port, and what ends it.
 * @throws PortTakenError
 */
export async function listenLocally(port, answer) {
  const server = await listenOn(LOOPBACKS[0], port, answer);
  const address = server.address();
  const taken = typeof address === 'object' && address !== null ? address.port : port;
  const servers = [server];
  try {
    servers.push(await listenOn(LOOPBACKS[1], taken, answer));
  } catch (error) {
    if (!NO_SUCH_ADDRESS.has(codeOf(error))) {
      close(servers);
      throw error;
    }
  }
  return { port: taken, close: () => close(servers) };
}

/**
 * Whether a bench answers at a port of this machine.
 *
 * @param {number} port
 */
export async function isBenchAt(port) {
  try {
    const response = await fetch(`http://localhost:${port}/`, { signal: AbortSignal.timeout(PATIENCE_MS) });
    return (await response.text()).includes(OWN_TITLE);
  } catch {
    return false;
  }
}

/**
 * @param {string} host
 * @param {number} port
 * @param {Answer} answer
 * @returns {Promise<import('node:http').Server>}
 */
function listenOn(host, port, answer) {
  // A request without Host gets an answer as every other, with the site's headers.
  const server = createServer({ requireHostHeader: false }, answer);
  return new Promise((resolve, reject) => {
    server.once('error', (error) =>
      reject(codeOf(error) === 'EADDRINUSE' ? new PortTakenError(port) : error),
    );
    server.listen({ host, port, ipv6Only: true }, () => resolve(server));
  });
}

/** @param {readonly import('node:http').Server[]} servers */
function close(servers) {
  for (const server of servers) {
    server.close();
    server.closeAllConnections();
  }
}

/** @param {unknown} error */
function codeOf(error) {
  return error instanceof Error && 'code' in error ? String(error.code) : '';
}
