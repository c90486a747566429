import { spawn } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Readable, Writable } from 'node:stream';
import { serveFolder } from '../serve/static-server.mjs';
import { findBrowser } from './find-browser.mjs';
import { BROWSER_ARGUMENTS } from './open-page.ts';
import { removeProfile } from './remove-profile.ts';

/** A page in a browser that nobody inspects: what a driver keeps of every answer of the network (about 55 MiB here) would count as the page's memory. */
export interface BarePage {
  /** The browser's name and version. */
  readonly version: string;
  /** Puts files into the page's first file field. */
  setFiles(paths: readonly string[]): Promise<void>;
  /** The value of a JavaScript expression in the page, awaited; it must be plain data. Rejects with what it throws. */
  evaluate(expression: string): Promise<unknown>;
  /** Ids of the processes that show pages. */
  rendererIds(): Promise<readonly number[]>;
  close(): Promise<void>;
}

/** Serves a built folder and opens one of its pages bare, over the DevTools protocol's pipe. Throws when no browser is installed. */
export async function openBarePage(folder: string, path: string): Promise<BarePage> {
  const executablePath = findBrowser();
  if (executablePath === null) throw new Error('No Chromium or Chrome found. Install one, or set CHROMIUM_PATH.');
  const server = await serveFolder(folder);
  const profile = mkdtempSync(join(tmpdir(), 'lungeline-profile-'));
  const browser = spawn(executablePath, ['--headless', '--remote-debugging-pipe', `--user-data-dir=${profile}`, ...BROWSER_ARGUMENTS, 'about:blank'], {
    stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'],
  });
  const ended = new Promise<void>((resolve) => browser.once('exit', () => { resolve(); }));
  const close = async (): Promise<void> => {
    browser.kill();
    await ended;
    await server.close();
    await removeProfile(profile);
  };
  try {
    const send = overPipe(browser.stdio[3] as Writable, browser.stdio[4] as Readable, ended);
    const { targetId } = await send<{ targetId: string }>('Target.createTarget', { url: 'about:blank' });
    const { sessionId } = await send<{ sessionId: string }>('Target.attachToTarget', { targetId, flatten: true });
    await send('Page.navigate', { url: server.address + path }, sessionId);
    const evaluate = async (expression: string): Promise<unknown> => {
      const answer = await send<{ result: { value?: unknown }; exceptionDetails?: { text: string; exception?: { description?: string } } }>(
        'Runtime.evaluate', { expression, awaitPromise: true, returnByValue: true }, sessionId);
      if (answer.exceptionDetails !== undefined) throw new Error(answer.exceptionDetails.exception?.description ?? answer.exceptionDetails.text);
      return answer.result.value;
    };
    while ((await evaluate('document.readyState')) !== 'complete') await new Promise((resolve) => setTimeout(resolve, 50));
    return {
      version: (await send<{ product: string }>('Browser.getVersion')).product,
      async setFiles(paths) {
        const { result } = await send<{ result: { objectId: string } }>('Runtime.evaluate', { expression: 'document.querySelector("input[type=file]")' }, sessionId);
        await send('DOM.setFileInputFiles', { files: paths, objectId: result.objectId }, sessionId);
      },
      evaluate,
      async rendererIds() {
        const { processInfo } = await send<{ processInfo: readonly { readonly type: string; readonly id: number }[] }>('SystemInfo.getProcessInfo');
        return processInfo.filter((each) => each.type === 'renderer').map((each) => each.id);
      },
      close,
    };
  } catch (error) {
    await close();
    throw error;
  }
}

type Send = <T = unknown>(method: string, params?: object, sessionId?: string) => Promise<T>;

/** Calls of the protocol, one JSON text after another, each ended by a zero byte. */
function overPipe(to: Writable, from: Readable, ended: Promise<void>): Send {
  const waiting = new Map<number, { readonly resolve: (value: never) => void; readonly reject: (error: Error) => void }>();
  let lastId = 0;
  let rest = '';
  from.setEncoding('utf8');
  from.on('data', (text: string) => {
    const messages = (rest + text).split('\0');
    rest = messages.pop() ?? '';
    for (const message of messages) {
      const { id, result, error } = JSON.parse(message) as { id?: number; result?: never; error?: { message: string } };
      const call = id === undefined ? undefined : waiting.get(id);
      if (id === undefined || call === undefined) continue;
      waiting.delete(id);
      if (error === undefined) call.resolve(result as never);
      else call.reject(new Error(error.message));
    }
  });
  void ended.then(() => {
    for (const call of waiting.values()) call.reject(new Error('the browser ended'));
    waiting.clear();
  });
  return (method, params = {}, sessionId) => new Promise((resolve, reject) => {
    lastId += 1;
    waiting.set(lastId, { resolve, reject });
    to.write(`${JSON.stringify({ id: lastId, method, params, ...(sessionId === undefined ? {} : { sessionId }) })}\0`);
  });
}
