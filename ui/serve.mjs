import { parseArgs } from 'node:util';
import { isBenchAt, listenLocally, PortTakenError } from './local-server.mjs';
import { buildIfStale, SITE } from './production-build.mjs';
import { staticFiles } from './static-files.mjs';

/** Browsers keep builds and riffs by address, so the bench is always at this port unless another is asked for. */
const USUAL_PORT = 4180;
const LAST_PORT = 65_535;

try {
  const files = staticFiles(SITE);
  // The port first: whether it is free is known at once, but a build takes a while. Requests wait meanwhile.
  const listening = listenLocally(wantedPort(), (request, response) =>
    building.then(
      () => files(request, response),
      () => response.destroy(),
    ),
  );
  const building = listening.then(() => buildIfStale());
  await building.catch(async (error) => {
    (await listening).close();
    throw error;
  });
  const { port } = await listening;
  console.log(`Cliplead is on http://localhost:${port}`);
  if (port !== USUAL_PORT) console.log(`Builds and riffs kept at port ${USUAL_PORT} are not here.`);
} catch (error) {
  console.error(error instanceof PortTakenError ? await takenText(error.port) : reason(error));
  process.exitCode = 1;
}

/** The port of `--port`, else of the variable PORT, else the usual one. */
function wantedPort() {
  const { values } = parseArgs({ options: { port: { type: 'string' } } });
  if (values.port !== undefined) return readPort('--port', values.port);
  const { PORT = '' } = process.env;
  return PORT === '' ? USUAL_PORT : readPort('PORT', PORT);
}

/**
 * @param {string} name
 * @param {string} text
 */
function readPort(name, text) {
  if (/^\d{1,5}$/.test(text) && Number(text) <= LAST_PORT) return Number(text);
  throw new RangeError(`${name} takes a whole number from 0 to ${LAST_PORT}, not "${text}"`);
}

/**
 * Who has the port, and how another is chosen. It is never chosen silently: at another port a bench has other builds.
 *
 * @param {number} port
 */
async function takenText(port) {
  const isBench = await isBenchAt(port);
  const who = isBench
    ? `Cliplead already runs at http://localhost:${port}. Open that address.`
    : `Port ${port} is taken by another program. End it, or choose another port.`;
  const other = port < LAST_PORT ? port + 1 : USUAL_PORT;
  return `${who}\nFor another port: npm start -- --port ${other}. The bench there has builds and riffs of its own.`;
}

/** @param {unknown} error */
function reason(error) {
  return error instanceof Error ? error.message : String(error);
}
