// A static file server for the built app: localhost only, fixed content types, the page policy of the product.
import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { createServer } from 'node:http';
import { extname, join, normalize, sep } from 'node:path';

const TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.webmanifest': 'application/manifest+json',
  '.wasm': 'application/wasm',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.jpg': 'image/jpeg',
  '.webp': 'image/webp',
  '.mp4': 'video/mp4',
  '.webm': 'video/webm',
  '.bin': 'application/octet-stream',
  '.woff2': 'font/woff2',
};

/** Nothing but our own origin: scripts, workers, weights, pictures, video. */
export const PAGE_POLICY = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "worker-src 'self'",
  "connect-src 'self'",
  "img-src 'self' blob: data:",
  "media-src 'self' blob:",
  "style-src 'self'",
  "manifest-src 'self'",
  "font-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/**
 * Serves the files under `root` on localhost. With port 0 the system picks a free one.
 * @param {string} root
 * @param {number} port
 * @returns {Promise<{ address: string, close: () => Promise<void> }>}
 */
export async function serveFolder(root, port = 0) {
  const server = createServer((request, response) => {
    answer(root, request, response).catch(() => {
      if (!response.headersSent) response.writeHead(500);
      response.end();
    });
  });
  await new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, '127.0.0.1', () => resolve(undefined));
  });
  const bound = server.address();
  if (bound === null || typeof bound === 'string') throw new Error('the server has no port');
  return {
    address: `http://localhost:${bound.port}/`,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

async function answer(root, request, response) {
  if (request.method !== 'GET' && request.method !== 'HEAD') {
    response.writeHead(405).end();
    return;
  }
  let path;
  try {
    path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname);
  } catch {
    response.writeHead(400).end();
    return;
  }
  if (path.endsWith('/')) path += 'index.html';
  const file = normalize(join(root, path));
  if (!file.startsWith(normalize(root) + sep)) {
    response.writeHead(404).end();
    return;
  }
  const facts = await stat(file).catch(() => null);
  if (facts === null || !facts.isFile()) {
    response.writeHead(404, { 'content-type': 'text/plain; charset=utf-8' }).end('not found\n');
    return;
  }
  const headers = {
    'content-type': TYPES[extname(file)] ?? 'application/octet-stream',
    'content-security-policy': PAGE_POLICY,
    'x-content-type-options': 'nosniff',
    'referrer-policy': 'no-referrer',
    'accept-ranges': 'bytes',
    // Built files carry a hash in their name and never change; pages always ask again.
    'cache-control': path.startsWith('/assets/') ? 'public, max-age=31536000, immutable' : 'no-cache',
  };
  const range = /^bytes=(\d+)-(\d*)$/.exec(request.headers.range ?? '');
  let first = 0;
  let last = facts.size - 1;
  let status = 200;
  if (range !== null) {
    first = Number(range[1]);
    last = range[2] === '' ? last : Math.min(Number(range[2]), last);
    if (first > last) {
      response.writeHead(416, { 'content-range': `bytes */${facts.size}` }).end();
      return;
    }
    status = 206;
    headers['content-range'] = `bytes ${first}-${last}/${facts.size}`;
  }
  response.writeHead(status, { ...headers, 'content-length': String(Math.max(0, last - first + 1)) });
  if (request.method === 'HEAD' || facts.size === 0) {
    response.end();
    return;
  }
  const stream = createReadStream(file, { start: first, end: last });
  stream.once('error', () => response.destroy());
  stream.pipe(response);
}
