// Finds a Chromium-family browser on this machine.
import { accessSync, constants } from 'node:fs';
import { delimiter, join } from 'node:path';
import { env, platform } from 'node:process';

const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome', 'microsoft-edge'];
const PLACES = {
  darwin: [
    '/Applications/Chromium.app/Contents/MacOS/Chromium',
    '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
    '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
  ],
  win32: [
    'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
    'C:\\Program Files (x86)\\Google\\Chrome\\Application\\chrome.exe',
    'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe',
  ],
};

/**
 * The path of a browser, or null: CHROMIUM_PATH first, then the search path, then the usual places.
 * @returns {string | null}
 */
export function findBrowser() {
  const candidates = [
    ...(env['CHROMIUM_PATH'] === undefined ? [] : [env['CHROMIUM_PATH']]),
    ...NAMES.flatMap((name) => (env['PATH'] ?? '').split(delimiter).map((folder) => join(folder, name))),
    ...(PLACES[platform] ?? []),
  ];
  return candidates.find(canRun) ?? null;
}

function canRun(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
