import { open, realpath } from 'node:fs/promises';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';
import { isOwnHost } from './own-host.mjs';
import { responseHeaders } from './response-headers.mjs';

/** @type {Readonly<Record<string, string>>} */
const CONTENT_TYPES = {
  '.css': 'text/css; charset=utf-8',
  '.flac': 'audio/flac',
  '.html': 'text/html; charset=utf-8',
  '.ico': 'image/x-icon',
  '.js': 'text/javascript; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.map': 'application/json; charset=utf-8',
  '.png': 'image/png',
  '.svg': 'image/svg+xml',
  '.txt': 'text/plain; charset=utf-8',
  '.wasm': 'application/wasm',
  '.wav': 'audio/wav',
  '.webmanifest': 'application/manifest+json',
  '.woff2': 'font/woff2',
};

/** What the system says of a path at which there is no file that could be read. */
const NO_FILE = new Set(['ENOENT', 'ENOTDIR', 'ENAMETOOLONG', 'ELOOP', 'EACCES', 'EISDIR']);

/**
 * @typedef {import('node:http').IncomingMessage} Request
 * @typedef {import('node:http').ServerResponse} Response
 * @typedef {import('node:fs/promises').FileHandle} FileHandle
 */

/**
 * Answers GET and HEAD requests to this machine with the files of one folder; every answer, a refusal too, has the
 * site's headers.
 *
 * Hashed assets may be kept for good; everything else is asked for again each time, so that a new build
 * shows at once. Paths and links that leave the folder, and folders without an index page, are answered 404.
 *
 * @param {string} root Absolute path of the folder.
 * @returns {(request: Request, response: Response) => Promise<void>}
 */
export function staticFiles(root) {
  return async (request, response) => {
    try {
      await answer(root, request, response);
    } catch {
      if (response.headersSent) response.destroy();
      else refuse(response, 500, 'The file cannot be read');
    }
  };
}

/**
 * @param {string} root
 * @param {Request} request
 * @param {Response} response
 */
async function answer(root, request, response) {
  if (!isOwnHost(request)) {
    return refuse(response, 403, `The bench answers at http://localhost:${request.socket.localPort} only`);
  }
  if (request.method !== 'GET' && request.method !== 'HEAD') {
    return refuse(response, 405, 'Only files are served here', { Allow: 'GET, HEAD' });
  }
  const pathname = requestedPath(request.url ?? '/');
  const file = pathname === null ? null : await openInside(root, pathname);
  if (pathname === null || file === null) return refuse(response, 404, 'Not found');
  response.writeHead(200, {
    ...responseHeaders(pathname),
    'Content-Type': CONTENT_TYPES[path.extname(pathname)] ?? 'application/octet-stream',
    'Content-Length': file.size,
    'Cache-Control': pathname.startsWith('/assets/') ? 'max-age=31536000, immutable' : 'no-cache',
  });
  if (request.method === 'GET') return send(file.handle, response);
  await file.handle.close();
  response.end();
}

/**
 * Closes the file when it is sent, and when whoever asked has gone before.
 *
 * @param {FileHandle} handle
 * @param {Response} response
 */
async function send(handle, response) {
  try {
    await pipeline(handle.createReadStream(), response);
  } catch {
    response.destroy();
  }
}

/**
 * @param {Response} response
 * @param {number} status
 * @param {string} text
 * @param {Record<string, string>} headers
 */
function refuse(response, status, text, headers = {}) {
  const own = { ...responseHeaders('/'), 'Content-Type': 'text/plain; charset=utf-8', ...headers };
  response.writeHead(status, own).end(`${text}\n`);
}

/**
 * Normalised path of a request, `/` led, or null where it is malformed or climbs out.
 *
 * @param {string} url
 */
function requestedPath(url) {
  try {
    const pathname = decodeURIComponent(url.split(/[?#]/, 1)[0] ?? '/');
    if (pathname.includes('\0') || pathname.includes('\\')) return null;
    const normal = path.posix.normalize(`/${pathname}`);
    return normal.endsWith('/') ? `${normal}index.html` : normal;
  } catch {
    return null;
  }
}

/**
 * Opens a file of the folder; null where there is none, or where a link leads out of the folder.
 *
 * @param {string} root
 * @param {string} pathname
 * @returns {Promise<{ handle: FileHandle, size: number } | null>}
 */
async function openInside(root, pathname) {
  try {
    const place = await realpath(path.join(root, pathname));
    if (!place.startsWith((await realpath(root)) + path.sep)) return null;
    return await openFile(place);
  } catch (error) {
    if (error instanceof Error && 'code' in error && NO_FILE.has(String(error.code))) return null;
    throw error;
  }
}

/** @param {string} place */
async function openFile(place) {
  const handle = await open(place);
  const entry = await handle.stat();
  if (entry.isFile()) return { handle, size: entry.size };
  await handle.close();
  return null;
}
