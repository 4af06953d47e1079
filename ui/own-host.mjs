const OWN_NAMES = new Set(['localhost', '127.0.0.1', '[::1]']);

/**
 * Whether a request names this machine and the port that it came in at. A foreign page can point its own name
 * to this machine (DNS rebinding) and could then read the bench's data; its requests carry that name.
 *
 * @param {import('node:http').IncomingMessage} request
 */
export function isOwnHost({ headers, socket }) {
  const [, name = '', port = '80'] =
    /^(\[[\da-f:]+\]|[^:]+)(?::(\d+))?$/.exec(headers.host?.toLowerCase() ?? '') ?? [];
  return OWN_NAMES.has(name) && Number(port) === socket.localPort;
}
