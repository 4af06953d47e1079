/** A process that serves the given folder, prints its port, and counts its open descriptors on request. */
import { readdirSync } from 'node:fs';
import { createServer } from 'node:http';
import { staticFiles } from '../../ui/static-files.mjs';

const server = createServer(staticFiles(process.argv[2] ?? ''));
server.listen(0, '127.0.0.1', () => {
  const address = server.address();
  process.send?.(typeof address === 'object' ? address?.port : undefined);
});
process.on('message', () => process.send?.(readdirSync('/proc/self/fd').length));
process.on('disconnect', () => process.exit());
