// Keeps the program itself on the device, so that it opens without a network. Never a clip, never a result: those are not
// fetched. The build fills in VERSION and FILES; a new version is taken over once no page of the old one is open.
const VERSION = '__VERSION__';
const FILES = __FILES__;
const PREFIX = 'lungeline-program-';
const NAME = PREFIX + VERSION;
const PAGE = new URL('./', self.registration.scope).href;

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(NAME).then(async (cache) => {
    // One after another: the page may be measuring meanwhile.
    for (const file of FILES) await cache.add(new URL(file, self.registration.scope).href);
  }));
});

self.addEventListener('activate', (event) => {
  event.waitUntil(caches.keys().then((names) => Promise.all(
    names.filter((name) => name.startsWith(PREFIX) && name !== NAME).map((name) => caches.delete(name)),
  )));
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin || !request.url.startsWith(self.registration.scope)) return;
  event.respondWith(url.pathname.includes('/assets/') ? keptFirst(request) : networkFirst(request));
});

/** Files with a hash in their name never change: the kept copy is as good as any. */
async function keptFirst(request) {
  const cache = await caches.open(NAME);
  const kept = await cache.match(request);
  if (kept !== undefined) return kept;
  const answer = await fetch(request);
  if (answer.status === 200) await cache.put(request, answer.clone());
  return answer;
}

/** Pages ask the network, so that a new version shows at once; without it the kept copy serves. */
async function networkFirst(request) {
  try {
    return await fetch(request);
  } catch (error) {
    const kept = await caches.match(request.mode === 'navigate' ? PAGE : request, { cacheName: NAME });
    if (kept === undefined) throw error;
    return kept;
  }
}
