import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import path from 'node:path';
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

/**
 * Answers GET and HEAD requests with the files of one folder and the site's response headers.
 *
 * Hashed assets may be kept for good; everything else is asked for again each time, so that a new build
 * shows at once. Paths that leave the folder, and folders without an index page, are answered 404.
 *
 * @param {string} root Absolute path of the folder.
 * @returns {(request: import('node:http').IncomingMessage, response: import('node:http').ServerResponse) => Promise<void>}
 */
export function staticFiles(root) {
  return async (request, response) => {
    if (request.method !== 'GET' && request.method !== 'HEAD') {
      response.writeHead(405, { Allow: 'GET, HEAD' }).end();
      return;
    }
    const pathname = requestedPath(request.url ?? '/');
    const file = pathname === null ? null : path.join(root, pathname);
    const size = file === null ? null : await fileSize(file);
    if (pathname === null || file === null || size === null) {
      response.writeHead(404, { 'Content-Type': 'text/plain; charset=utf-8' }).end('Not found\n');
      return;
    }
    response.writeHead(200, {
      ...responseHeaders(pathname),
      'Content-Type': CONTENT_TYPES[path.extname(file)] ?? 'application/octet-stream',
      'Content-Length': size,
      'Cache-Control': pathname.startsWith('/assets/') ? 'max-age=31536000, immutable' : 'no-cache',
    });
    if (request.method === 'HEAD') response.end();
    else
      createReadStream(file)
        .on('error', () => response.destroy())
        .pipe(response);
  };
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
 * Bytes in a file, or null where there is none.
 *
 * @param {string} file
 */
async function fileSize(file) {
  try {
    const entry = await stat(file);
    return entry.isFile() ? entry.size : null;
  } catch {
    return null;
  }
}
