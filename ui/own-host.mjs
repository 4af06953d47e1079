const OWN_NAMES = new Set(['localhost', '127.0.0.1', '[::1]']);

/**
 * Whether a request names this machine and the port that it came in at. A page elsewhere can have its own name lead
 * here (DNS rebinding), and would then read as if it were the bench; its requests carry that name.
 *
 * @param {import('node:http').IncomingMessage} request
 */
export function isOwnHost({ headers, socket }) {
  const [, name = '', port = '80'] =
    /^(\[[\da-f:]+\]|[^:]+)(?::(\d+))?$/.exec(headers.host?.toLowerCase() ?? '') ?? [];
  return OWN_NAMES.has(name) && Number(port) === socket.localPort;
}
