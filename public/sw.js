// Keeps a whole copy of one version of the app for use without a network.
//
// All or nothing: every file is fetched anew and must match the hash written at build time, else this version is
// not installed and the last one stays. It never swaps by itself while a page is open: the page asks, after the
// keeper agreed. A version's copy stays as long as a page of it is open, for that page fetches its parts when they are
// needed, and no host has them any more. It never touches records, other folders of the same host, or any other origin.

/** Path and SHA-256 of every file of this version, and a name for the whole: `cargo xtask finish` writes both lines. */
const VERSION = 'unbuilt';
const FILES = [];

const scope = new URL(self.registration.scope);
// The blank ends the folder's name, so that /a/ never takes /a/b/'s copies for its own.
const PREFIX = `candlemark ${scope.pathname} `;
const CACHE = PREFIX + VERSION;

// Asked for as the folder itself: some hosts redirect index.html, and a redirected answer cannot open a page.
const address = (path) => new URL(path === 'index.html' ? './' : path, scope).href;

// A file handed to the app, by the system's share sheet or by any site that posts one, waits here until the keeper
// says what to do with it. It is fetched once. What is too large is not kept, only that it was.
const SHARED = `candlemark-shared ${scope.pathname} `;
const shared = new URL('shared-bundle', scope).href;
const MOST_BYTES = 512 * 2 ** 20;

// Where the browser can, it takes this version's files out of the cache by itself, without waking this worker first;
// a file that is not there it asks the host for. What else there is, another version's files too, is answered below,
// and everything is where this cannot be had.
async function shortcut(event) {
  if (!event.addRoutes) return;
  const { protocol, hostname, port } = scope;
  const plain = (path) => new URL(address(path)).pathname.replace(/[+*?:{}()\\]/g, '\\$&');
  const only = ([path]) => ({ urlPattern: new URLPattern({ protocol: protocol.slice(0, -1), hostname, port, pathname: plain(path), search: '' }), requestMethod: 'GET' });
  await event.addRoutes([{ condition: { or: FILES.map(only) }, source: { cacheName: CACHE } }]);
}

/** Fetches these files of this version into its cache; fails when one of them is not to be had as it was built. */
async function fetchInto(cache, files) {
  await Promise.all(files.map(async ([path, hash]) => {
    const answer = await fetch(new Request(address(path), { cache: 'no-cache', integrity: `sha256-${hash}` }));
    if (!answer.ok || answer.redirected) throw new Error(`${path}: ${answer.status}`);
    await cache.put(address(path), answer);
  }));
}

async function install() {
  try {
    await fetchInto(await caches.open(CACHE), FILES);
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

const older = async () => (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);

/** Deletes the copies of other versions of which no page is open: each page holds a lock named after its program. */
async function tidy() {
  const names = await older();
  if (names.length === 0) return;
  const windows = await self.clients.matchAll({ type: 'window', includeUncontrolled: true });
  // A browser without locks tells nothing of its pages: all of them have to be closed.
  const { held } = await self.navigator.locks?.query() ?? { held: [] };
  const programs = held.map(({ name }) => name.replace(/^candlemark-page /, '')).filter((url) => url.startsWith(scope.href));
  // A page that is only just opening has said nothing yet.
  if (windows.filter(({ url }) => url.startsWith(scope.href)).length > programs.length) return;
  await Promise.all(names.map(async (name) => {
    const cache = await caches.open(name);
    const used = await Promise.all(programs.map((url) => cache.match(url)));
    if (!used.some(Boolean)) await caches.delete(name);
  }));
}

/** Whether the copy of this version is whole: what is gone (a browser may clear it away) is fetched again. */
async function check() {
  try {
    const cache = await caches.open(CACHE);
    const there = new Set((await cache.keys()).map(({ url }) => url));
    await fetchInto(cache, FILES.filter(([path]) => !there.has(address(path))));
    return 'ready';
  } catch {
    return 'failed';
  }
}

const KEPT = new Set(FILES.map(([path]) => address(path)));

async function answer(request, href) {
  const kept = await (await caches.open(CACHE)).match(href);
  return kept ?? fetch(request);
}

/** A file that is not of this version: a page of another one may be open and ask for a part of its own. */
async function other(request, href) {
  for (const name of await older()) {
    const kept = await (await caches.open(name)).match(href);
    if (kept) return kept;
  }
  return fetch(request);
}

async function lay(request) {
  // A browser that cannot read the form has no room for so much, as a rule.
  const file = await request.formData().then((form) => form.get('bundle'), () => 'unread');
  await caches.delete(SHARED);
  if (file === 'unread' || file instanceof File) {
    const kept = file.size <= MOST_BYTES ? new Response(file) : new Response(null, { status: 204 });
    await (await caches.open(SHARED)).put(shared, kept);
  }
  return Response.redirect(new URL('./#/bundles/shared', scope), 303);
}

async function pickUp(method) {
  const answer = await (await caches.open(SHARED)).match(shared);
  await caches.delete(SHARED);
  if (method !== 'GET') return new Response(null, { status: 204 });
  // Nothing lies there, which is no fault for the browser to tell of.
  return answer ?? new Response(null, { status: 205 });
}

self.addEventListener('install', (event) => {
  event.waitUntil(install());
  event.waitUntil(shortcut(event).catch(() => { /* a folder's name that no pattern can hold */ }));
});
self.addEventListener('activate', (event) => event.waitUntil(tidy().then(() => self.clients.claim())));

self.addEventListener('message', (event) => {
  if (event.data?.type === 'take-over') self.skipWaiting();
  if (event.data?.type === 'check') {
    const [port] = event.ports;
    event.waitUntil(check().then((state) => port.postMessage(state)).then(tidy));
  }
});

self.addEventListener('fetch', (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== scope.origin) {
    // Only the worker that shares asks like this, and only its policy lets it: the store is the keeper's own. It is let through
    // untouched, since this worker's own policy knows no other server.
    const { mode, credentials, destination } = event.request;
    if (mode === 'cors' && credentials === 'omit' && destination === '') return;
    return event.respondWith(Response.error());
  }
  if (event.request.method === 'POST' && url.href === new URL('share', scope).href) return event.respondWith(lay(event.request));
  if (url.href === shared) return event.respondWith(pickUp(event.request.method));
  if (event.request.method !== 'GET' || !url.pathname.startsWith(scope.pathname)) return;
  // A store beside the app is asked, never answered from a copy.
  if (event.request.cache === 'no-store') return;
  url.search = '';
  url.hash = '';
  const href = url.href === new URL('index.html', scope).href ? scope.href : url.href;
  if (KEPT.has(href)) event.respondWith(answer(event.request, href));
  else if (event.request.mode !== 'navigate') event.respondWith(other(event.request, href));
});
