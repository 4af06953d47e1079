import { createServer } from 'node:http';
import { parseArgs } from 'node:util';
import { buildIfStale, SITE } from './production-build.mjs';
import { staticFiles } from './static-files.mjs';

const FIRST_PORT = 4180;
const PORTS_TO_TRY = 20;

try {
  const wanted = portArgument();
  await buildIfStale();
  const port = await listen(wanted ?? FIRST_PORT, wanted === undefined ? PORTS_TO_TRY : 1);
  console.log(`Cliplead is on http://localhost:${port}`);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
}

/** The port asked for with `--port`, or undefined. */
function portArgument() {
  const { values } = parseArgs({ options: { port: { type: 'string' } } });
  if (values.port === undefined) return undefined;
  const port = Number(values.port);
  if (Number.isInteger(port) && port >= 0 && port <= 65535) return port;
  throw new RangeError(`--port takes a whole number from 0 to 65535, not "${values.port}"`);
}

/**
 * Serves the site on the first free port; only this machine can reach it.
 *
 * @param {number} port First port to try; 0 leaves the choice to the system.
 * @param {number} tries How many ports in a row.
 * @returns {Promise<number>} The port taken.
 */
async function listen(port, tries) {
  for (let candidate = port; candidate < port + tries; candidate++) {
    const taken = await listenOn(candidate);
    if (taken !== null) return taken;
  }
  throw new Error(
    tries === 1 ? `port ${port} is in use` : `ports ${port} to ${port + tries - 1} are all in use`,
  );
}

/**
 * @param {number} port
 * @returns {Promise<number | null>} The port taken, or null where it is in use.
 */
function listenOn(port) {
  const server = createServer(staticFiles(SITE));
  return new Promise((resolve, reject) => {
    server.once('error', (/** @type {NodeJS.ErrnoException} */ error) => {
      if (error.code === 'EADDRINUSE') resolve(null);
      else reject(error);
    });
    server.listen(port, '127.0.0.1', () => {
      const address = server.address();
      resolve(address !== null && typeof address === 'object' ? address.port : port);
    });
  });
}
