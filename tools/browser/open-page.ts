import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium, type Browser, type Page } from 'playwright-core';
import { serveFolder } from '../serve/static-server.mjs';
import { buildIfStale } from '../build/build-if-stale.mjs';
import { findBrowser } from './find-browser.mjs';

/** Quiet, headless, and silent towards the network. */
export const BROWSER_ARGUMENTS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--disable-dev-shm-usage',
] as const;

/** The built app served on localhost with one page of a headless browser. */
export interface OpenPage {
  readonly browser: Browser;
  readonly page: Page;
  readonly address: string;
  /** Addresses outside the app's origin that the page asked for. */
  readonly foreignRequests: readonly string[];
  /** Errors the page threw or logged. */
  readonly errors: readonly string[];
  close(): Promise<void>;
}

/** Folder of the built app. */
export function builtFolder(): string {
  return join(fileURLToPath(new URL('../..', import.meta.url)), 'dist');
}

/**
 * Serves the built app and opens one of its pages; builds it first if needed, unless another folder is named.
 * Throws when no browser is installed.
 */
export async function openPage(
  path: string,
  options: { readonly folder?: string; readonly browserArguments?: readonly string[] } = {},
): Promise<OpenPage> {
  const executablePath = findBrowser();
  if (executablePath === null) throw new Error('No Chromium or Chrome found. Install one, or set CHROMIUM_PATH.');
  if (options.folder === undefined) buildIfStale();
  const server = await serveFolder(options.folder ?? builtFolder());
  let browser: Browser | null = null;
  try {
    browser = await chromium.launch({ executablePath, args: [...(options.browserArguments ?? BROWSER_ARGUMENTS)] });
    const page = await browser.newPage();
    const foreignRequests: string[] = [];
    const errors: string[] = [];
    // Requests of workers are seen by the context, not by the page.
    page.context().on('request', (request) => {
      const url = request.url();
      if (!url.startsWith(server.address) && !url.startsWith('blob:') && !url.startsWith('data:')) foreignRequests.push(url);
    });
    page.on('pageerror', (error) => errors.push(error.message));
    page.on('console', (message) => {
      if (message.type() === 'error') errors.push(message.text());
    });
    await page.goto(server.address + path);
    const opened = browser;
    return {
      browser: opened,
      page,
      address: server.address,
      foreignRequests,
      errors,
      close: async () => {
        await opened.close();
        await server.close();
      },
    };
  } catch (error) {
    await browser?.close();
    await server.close();
    throw error;
  }
}
