// Keeps a whole copy of one version of the app for use without a network.
//
// All or nothing: every file is fetched anew and must match the hash written at build time, else this version is
// not installed and the last one stays. It never swaps by itself while a page is open: the page asks, after the
// keeper agreed. It never touches records, other folders of the same host, or any other origin.

/** Path and SHA-256 of every file of this version, and a name for the whole: `cargo xtask finish` writes both lines. */
const VERSION = 'unbuilt';
const FILES = [];

const scope = new URL(self.registration.scope);
// The blank ends the folder's name, so that /a/ never takes /a/b/'s copies for its own.
const PREFIX = `candlemark ${scope.pathname} `;
const CACHE = PREFIX + VERSION;

// Asked for as the folder itself: some hosts redirect index.html, and a redirected answer cannot open a page.
const address = (path) => new URL(path === 'index.html' ? './' : path, scope).href;

// A bundle shared with the app waits here until the page fetches it, once.
const SHARED = `candlemark-shared ${scope.pathname} `;
const shared = new URL('shared-bundle', scope).href;

// Where the browser can, it takes kept files out of the cache by itself, without waking this worker first. What is
// not just a kept file under its own name is answered below, and everything is where this cannot be had.
async function shortcut(event) {
  if (!event.addRoutes) return;
  const only = (address) => ({ urlPattern: new URLPattern(address), requestMethod: 'GET' });
  const plain = { protocol: scope.protocol.slice(0, -1), hostname: scope.hostname, port: scope.port, pathname: `${scope.pathname}*`, search: '' };
  await event.addRoutes([
    { condition: only(shared), source: 'fetch-event' },
    { condition: only(new URL('index.html', scope).href), source: 'fetch-event' },
    { condition: only(plain), source: { cacheName: CACHE } },
  ]);
}

async function install() {
  const half = await caches.open(CACHE);
  try {
    await Promise.all(FILES.map(async ([path, hash]) => {
      const answer = await fetch(new Request(address(path), { cache: 'no-cache', integrity: `sha256-${hash}` }));
      if (!answer.ok || answer.redirected) throw new Error(`${path}: ${answer.status}`);
      await half.put(address(path), answer);
    }));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function tidy() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CACHE).map((name) => caches.delete(name)));
  await self.clients.claim();
}

const KEPT = new Set(FILES.map(([path]) => address(path)));

async function answer(request, href) {
  const kept = await (await caches.open(CACHE)).match(href);
  return kept ?? fetch(request);
}

async function lay(request) {
  const file = (await request.formData()).get('bundle');
  if (file) await (await caches.open(SHARED)).put(shared, new Response(file));
  return Response.redirect(new URL('./#/bundles/shared', scope), 303);
}

async function pickUp() {
  const answer = await (await caches.open(SHARED)).match(shared);
  await caches.delete(SHARED);
  return answer ?? new Response(null, { status: 404 });
}

self.addEventListener('install', (event) => {
  event.waitUntil(install());
  event.waitUntil(shortcut(event).catch(() => { /* a folder's name that no pattern can hold */ }));
});
self.addEventListener('activate', (event) => event.waitUntil(tidy()));

self.addEventListener('message', (event) => {
  if (event.data?.type === 'take-over') self.skipWaiting();
});

self.addEventListener('fetch', (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== scope.origin) return event.respondWith(Response.error());
  if (event.request.method === 'POST' && url.href === new URL('share', scope).href) return event.respondWith(lay(event.request));
  if (url.href === shared) return event.respondWith(pickUp());
  if (event.request.method !== 'GET' || !url.pathname.startsWith(scope.pathname)) return;
  url.search = '';
  url.hash = '';
  const href = url.href === new URL('index.html', scope).href ? scope.href : url.href;
  if (KEPT.has(href)) event.respondWith(answer(event.request, href));
});
