/** The page that loads the replacement for AudioWorklet, which has to evaluate the processors' source. */
const FALLBACK_PAGE = '/fallback.html';

const SCRIPT_SOURCES = "'self' 'wasm-unsafe-eval'";

/**
 * Content security policy of a page.
 *
 * `wasm-unsafe-eval` compiles the solver's kernel and permits no JavaScript from strings; `blob:` workers
 * are Tone's clock; inline styles are lit's where constructable style sheets are missing. Only the fallback
 * page may evaluate strings: audioworklet-polyfill runs processors in no other way.
 *
 * @param {string} pathname Path of the page, from the root of the site.
 */
export function contentSecurityPolicy(pathname) {
  const isFallback = pathname === FALLBACK_PAGE;
  return [
    "default-src 'self'",
    `script-src ${SCRIPT_SOURCES}${isFallback ? " 'unsafe-inline' 'unsafe-eval'" : ''}`,
    "worker-src 'self' blob:",
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "media-src 'self' blob:",
    "connect-src 'self'",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
}

/**
 * What a page may ask the browser for: the guitar and the foot switch, and nothing else that browsers name, but what a
 * page of its own does without asking, such as sound and copying.
 */
const PERMISSIONS_POLICY = [
  'microphone=(self)',
  'midi=(self)',
  ...[
    'accelerometer',
    'browsing-topics',
    'camera',
    'clipboard-read',
    'compute-pressure',
    'display-capture',
    'encrypted-media',
    'fullscreen',
    'gamepad',
    'geolocation',
    'gyroscope',
    'hid',
    'identity-credentials-get',
    'idle-detection',
    'keyboard-map',
    'local-fonts',
    'magnetometer',
    'otp-credentials',
    'payment',
    'picture-in-picture',
    'publickey-credentials-create',
    'publickey-credentials-get',
    'screen-wake-lock',
    'serial',
    'storage-access',
    'sync-xhr',
    'usb',
    'window-management',
    'xr-spatial-tracking',
  ].map((feature) => `${feature}=()`),
].join(', ');

/**
 * Headers for shared memory and a high-resolution clock (`crossOriginIsolated`).
 *
 * @type {Readonly<Record<string, string>>}
 */
export const ISOLATION_HEADERS = {
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Resource-Policy': 'same-origin',
};

/**
 * All headers of an answer for a path of the built site. Who may show it in a frame only a header can say, so that is
 * not in the pages themselves.
 *
 * @param {string} pathname Path from the root of the site.
 * @returns {Record<string, string>}
 */
export function responseHeaders(pathname) {
  return {
    ...ISOLATION_HEADERS,
    'Content-Security-Policy': `${contentSecurityPolicy(pathname)}; frame-ancestors 'self'`,
    'Permissions-Policy': PERMISSIONS_POLICY,
    'Referrer-Policy': 'no-referrer',
    'X-Content-Type-Options': 'nosniff',
  };
}
