import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { serveFolder } from '../../tools/serve/static-server.mjs';

let root: string;
let server: Awaited<ReturnType<typeof serveFolder>>;
beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), 'lungeline-serve-'));
  writeFileSync(join(root, 'index.html'), '<p>hello</p>');
  writeFileSync(join(root, 'some.wasm'), 'abcdefghij');
  server = await serveFolder(root);
});
afterAll(async () => {
  await server.close();
  rmSync(root, { recursive: true });
});

/** A raw request: fetch would tidy the path before sending it. */
function status(path: string): Promise<number | undefined> {
  const { port } = new URL(server.address);
  return new Promise((resolve, reject) => {
    request({ host: '127.0.0.1', port, path }, (response) => {
      response.resume();
      resolve(response.statusCode);
    }).once('error', reject).end();
  });
}

describe('the local server', () => {
  it('serves the page with a policy that lets nothing out', async () => {
    const response = await fetch(server.address);
    expect(await response.text()).toBe('<p>hello</p>');
    expect(response.headers.get('content-type')).toContain('text/html');
    const policy = response.headers.get('content-security-policy') ?? '';
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("connect-src 'self'");
    expect(policy).not.toMatch(/https?:|\*|unsafe-inline|'unsafe-eval'/);
  });
  it('names WebAssembly by its own type, without which it cannot stream', async () => {
    expect((await fetch(`${server.address}some.wasm`)).headers.get('content-type')).toBe('application/wasm');
  });
  it('answers a range of bytes 2 to 4 with three bytes and 206', async () => {
    const response = await fetch(`${server.address}some.wasm`, { headers: { range: 'bytes=2-4' } });
    expect(response.status).toBe(206);
    expect(await response.text()).toBe('cde');
    expect(response.headers.get('content-range')).toBe('bytes 2-4/10');
  });
  it.each(['/../package.json', '/%2e%2e/package.json', '/..%2fpackage.json', '/nothing.txt', '/%'])('%s is not found', async (path) => {
    expect([400, 404]).toContain(await status(path));
  });
});
