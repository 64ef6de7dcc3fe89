// The app starts, keeps itself whole for use without a network, asks nobody else for anything, and swaps to a newer
// version only when told to.
import assert from 'node:assert/strict';
import { cp, mkdtemp, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { drawn, kept, reload, seat, visit } from './harness/browser.mjs';
import { button, field, title } from './harness/keeper.mjs';
import { dist, site, xtask } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** Runs `act` with a browser that is closed whatever happens. */
async function withSeat(options, act) {
  const open = await seat(options);
  try {
    return await act(open);
  } finally {
    await open.close();
  }
}

async function tempFolder(act) {
  const dir = await mkdtemp(join(tmpdir(), 'candlemark-test-'));
  try {
    return await act(dir);
  } finally {
    await rm(dir, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  }
}

async function distFiles(dir = dist) {
  const entries = await readdir(dir, { recursive: true, withFileTypes: true });
  const paths = entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name).slice(dir.length + 1));
  return paths.filter((path) => !['sw.js', '_headers', '.htaccess'].includes(path)).sort();
}

for (const kind of ['phone', 'desktop']) {
  test(`starts in a sub-folder without a fault or a foreign request: ${kind}`, () => withSeat({ kind }, async ({ page, faults, requests }) => {
    await visit(page, server.url);
    await kept(page);
    assert.ok((await page.locator('body').innerText()).trim().length > 0, 'the page shows something');
    assert.deepEqual(faults, []);
    assert.ok(requests.length > 0);
    assert.deepEqual(requests.filter((url) => !url.startsWith(server.url) && !/^(blob|data):/.test(url)), []);
  }));
}

test('every file of dist is kept, byte for byte', () => withSeat({}, async ({ page }) => {
  await visit(page, server.url);
  await kept(page);
  const held = await page.evaluate(async () => {
    const names = await caches.keys();
    const cache = await caches.open(names[0]);
    const files = {};
    for (const request of await cache.keys()) {
      const path = request.url === document.baseURI ? 'index.html' : request.url.slice(document.baseURI.length);
      files[path] = (await (await cache.match(request)).arrayBuffer()).byteLength;
    }
    return { names, files };
  });
  assert.equal(held.names.length, 1);
  assert.ok(held.names[0].startsWith('candlemark /barn/candlemark/ '), held.names[0]);
  const files = await distFiles();
  assert.deepEqual(Object.keys(held.files).sort(), files);
  for (const path of files) assert.equal(held.files[path], (await readFile(join(dist, path))).length, path);
}));

test('with the server stopped: reload, fragment link, and a cold start of the browser', () => tempFolder(async (profile) => {
  const own = await site();
  try {
    await withSeat({ profile }, async ({ page, faults }) => {
      await visit(page, own.url);
      await kept(page);
      await own.stop();
      await reload(page);
      await visit(page, own.url, '?from=home#/scan');
      await page.goto(`${own.url}index.html`);
      await drawn(page);
      assert.deepEqual(faults, []);
    });
    await withSeat({ profile }, async ({ page, faults }) => {
      await visit(page, own.url);
      assert.deepEqual(faults, []);
    });
  } finally {
    await own.stop();
  }
}));

test('the label reader starts without a network', async () => {
  const own = await site();
  try {
    await withSeat({}, async ({ page, faults }) => {
      await visit(page, own.url);
      await kept(page);
      await own.stop();
      const said = await page.evaluate(() => new Promise((then, not) => {
        const worker = new Worker('./scan-worker_loader.js', { type: 'module' });
        worker.onmessage = ({ data }) => then(data);
        worker.onerror = (event) => not(new Error(`the worker did not start: ${event.message}`));
      }));
      assert.deepEqual(said, { ready: true });
      assert.deepEqual(faults, []);
    });
  } finally {
    await own.stop();
  }
});

/** A copy of dist whose files say they are another version. */
async function nextVersion(dir, text) {
  const manifest = join(dir, 'manifest.webmanifest');
  await writeFile(manifest, (await readFile(manifest, 'utf8')).replace(/"description": "[^"]*"/, `"description": "${text}"`));
  await xtask(['finish'], { TRUNK_STAGING_DIR: dir });
}

const described = (page) => page.evaluate(async () => (await (await fetch('./manifest.webmanifest')).json()).description);
const lookForUpdate = (page) => page.evaluate(async () => { await (await navigator.serviceWorker.getRegistration()).update(); });

/** The page comes back into view. */
const seen = (page) => page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));

/** A copy of dist as another build would be: the program and its parts have other names. */
async function anotherBuild(dir) {
  const names = await distFiles(dir);
  const stem = names.map((name) => /^(web-[0-9a-f]+)_bg\.wasm$/.exec(name)?.[1]).find(Boolean);
  // What the program itself asks for is no file, and keeps its name.
  const asked = new RegExp(`${stem}(?!_bg\\.js)`, 'g');
  for (const name of names) {
    const path = join(dir, name);
    if (/^(index\.html|web-.*\.js)$/.test(name)) await writeFile(path, (await readFile(path, 'utf8')).replaceAll(asked, 'web-0000000000000000'));
    if (name.startsWith(stem)) await rename(path, path.replace(stem, 'web-0000000000000000'));
  }
  await xtask(['finish'], { TRUNK_STAGING_DIR: dir });
}

test('a page of the older version fetches its parts and saves after another tab has taken the newer one', () => tempFolder(async (dir) => {
  await cp(dist, dir, { recursive: true });
  const own = await site({ dir });
  try {
    await withSeat({}, async ({ context, page, faults }) => {
      await visit(page, own.url);
      await kept(page);
      const other = await context.newPage();
      await visit(other, own.url);
      await anotherBuild(dir);
      await lookForUpdate(page);
      await page.waitForFunction(() => document.documentElement.dataset.update === 'ready');
      const again = page.waitForEvent('load');
      await page.evaluate(() => window.dispatchEvent(new CustomEvent('candlemark:update-take')));
      await again;
      await drawn(page);
      assert.match(await page.evaluate(() => document.querySelector('script[data-wasm]').dataset.wasm), /web-0000000000000000/);
      // The worker is asked at this start, and the older page is still open.
      await page.waitForFunction(() => document.documentElement.dataset.offline === 'ready');
      await other.evaluate(() => { location.hash = '#/animal/new'; });
      await field(other, 'Name').fill('Bel');
      await button(other, 'Save').tap();
      await title(other, 'Bel').waitFor();
      assert.equal((await page.evaluate(() => caches.keys())).length, 2);
      await other.close();
      await seen(page);
      await page.waitForFunction(async () => (await caches.keys()).length === 1);
      await own.stop();
      await reload(page);
      assert.deepEqual(faults, []);
    });
  } finally {
    await own.stop();
  }
}));

test('a copy that the browser cleared away is told, and filled up again', () => tempFolder(async (profile) => {
  const own = await site();
  const wipe = (page) => page.evaluate(async () => { for (const name of await caches.keys()) await caches.delete(name); });
  const held = (page) => page.evaluate(async () => {
    const names = await caches.keys();
    return names.length === 1 ? (await (await caches.open(names[0])).keys()).length : 0;
  });
  try {
    await withSeat({ profile }, async ({ page }) => {
      await visit(page, own.url);
      await kept(page);
      await wipe(page);
      await reload(page);
      await kept(page);
      assert.equal(await held(page), (await distFiles()).length);

      // One file of it, and the page comes back into view.
      await page.evaluate(async () => {
        delete document.documentElement.dataset.offline;
        const cache = await caches.open((await caches.keys())[0]);
        await cache.delete('./favicon.svg');
      });
      await seen(page);
      await kept(page);
      assert.equal(await held(page), (await distFiles()).length);

      await wipe(page);
      await own.stop();
      await seen(page);
      await page.getByText(/^Not kept for use without a network yet/).waitFor();
      assert.equal(await page.evaluate(() => document.documentElement.dataset.offline), 'failed');
      await own.start();
      await page.evaluate(() => window.dispatchEvent(new Event('online')));
      await page.waitForFunction(() => document.documentElement.dataset.offline === 'ready');
      await page.getByText(/^Not kept for use without a network yet/).waitFor({ state: 'detached' });
      await own.stop();
    });
    // With nothing in memory either.
    await withSeat({ profile }, async ({ page, faults }) => {
      await visit(page, own.url);
      await kept(page);
      assert.deepEqual(faults, []);
    });
  } finally {
    await own.stop();
  }
}));

test('a newer version waits until the keeper agrees, then the page loads again', () => tempFolder(async (dir) => {
  await cp(dist, dir, { recursive: true });
  const own = await site({ dir });
  try {
    await withSeat({}, async ({ context, page, faults }) => {
      await visit(page, own.url);
      await kept(page);
      const other = await context.newPage();
      await visit(other, own.url);
      const first = await described(page);
      await nextVersion(dir, 'second');
      await lookForUpdate(page);
      await page.waitForFunction(() => document.documentElement.dataset.update === 'ready');
      assert.equal(await described(page), first, 'nothing is swapped unasked');
      await reload(page);
      assert.equal(await described(page), first, 'nor by loading again');
      await page.waitForFunction(() => document.documentElement.dataset.update === 'ready');

      await other.evaluate(() => { window.typedHere = true; });
      const again = page.waitForEvent('load');
      await page.evaluate(() => window.dispatchEvent(new CustomEvent('candlemark:update-take')));
      await again;
      await drawn(page);
      assert.equal(await described(page), 'second');
      await other.waitForFunction(() => document.documentElement.dataset.update === 'ready');
      assert.equal(await other.evaluate(() => window.typedHere), true, 'another open page is not loaded again unasked');
      assert.equal((await page.evaluate(() => caches.keys())).length, 2, 'the older copy stays with it');
      await other.close();
      await seen(page);
      await page.waitForFunction(async () => (await caches.keys()).length === 1);
      assert.deepEqual(faults, []);
    });
  } finally {
    await own.stop();
  }
}));

test('a newer version takes over by itself once no page is open', () => tempFolder((dir) => tempFolder(async (profile) => {
  await cp(dist, dir, { recursive: true });
  const own = await site({ dir });
  try {
    await withSeat({ profile }, async ({ page }) => {
      await visit(page, own.url);
      await kept(page);
      await nextVersion(dir, 'third');
      await lookForUpdate(page);
      await page.waitForFunction(() => document.documentElement.dataset.update === 'ready');
    });
    await withSeat({ profile }, async ({ page }) => {
      await visit(page, own.url);
      await kept(page);
      assert.equal(await described(page), 'third');
    });
  } finally {
    await own.stop();
  }
})));

test('a version that arrives damaged is not installed and the last one stays', () => tempFolder(async (dir) => {
  await cp(dist, dir, { recursive: true });
  const own = await site({ dir });
  try {
    await withSeat({}, async ({ page }) => {
      await visit(page, own.url);
      await kept(page);
      const first = await described(page);
      await nextVersion(dir, 'damaged');
      await writeFile(join(dir, 'boot.js'), 'cut off');
      await lookForUpdate(page).catch(() => { /* a refused install may be told here */ });
      await page.waitForFunction(async () => {
        const registration = await navigator.serviceWorker.getRegistration();
        return !registration.installing && !registration.waiting;
      });
      await reload(page);
      assert.equal(await described(page), first);
      assert.equal((await page.evaluate(() => caches.keys())).length, 1, 'no half copy is left');
    });
  } finally {
    await own.stop();
  }
}));

test('two folders of one host keep their copies apart', () => tempFolder(async (dir) => {
  await cp(dist, dir, { recursive: true });
  await cp(dist, join(dir, 'inner'), { recursive: true });
  // The outer folder's list is made before the inner one exists for it: each is a whole deployment.
  const own = await site({ dir, folder: 'a' });
  try {
    await withSeat({}, async ({ page }) => {
      await visit(page, own.url);
      await kept(page);
      await visit(page, `${own.url}inner/`);
      await kept(page);
      const names = (await page.evaluate(() => caches.keys())).map((name) => name.split(' ')[1]).sort();
      assert.deepEqual(names, ['/a/', '/a/inner/']);
    });
  } finally {
    await own.stop();
  }
}));

test('neither the page nor a worker of it can reach another origin', () => tempFolder(async (dir) => {
  await cp(dist, dir, { recursive: true });
  const reach = '(url) => fetch(url, { mode: "no-cors" }).then(() => true, () => false)';
  await writeFile(join(dir, 'probe.js'), `onmessage = async ({ data }) => postMessage(await (${reach})(data));`);
  await xtask(['finish'], { TRUNK_STAGING_DIR: dir });
  const own = await site({ dir });
  const other = await site({ folder: '/' });
  try {
    assert.equal((await fetch(other.url)).status, 200, 'the other origin answers');
    await withSeat({}, async ({ page }) => {
      await visit(page, own.url);
      await kept(page);
      assert.equal(await page.evaluate(`(${reach})(${JSON.stringify(other.url)})`), false);
      const fromWorker = await page.evaluate((url) => new Promise((then, not) => {
        const worker = new Worker('./probe.js');
        worker.onmessage = ({ data }) => then(data);
        worker.onerror = () => not(new Error('the worker did not start'));
        worker.postMessage(url);
      }), other.url);
      assert.equal(fromWorker, false);
    });
  } finally {
    await own.stop();
    await other.stop();
  }
}));

test('says so in words when the app cannot start', () => tempFolder(async (dir) => {
  await cp(dist, dir, { recursive: true });
  for (const path of await distFiles(dir)) if (/^web-.*\.wasm$/.test(path)) await writeFile(join(dir, path), 'not code');
  const own = await site({ dir });
  try {
    await withSeat({}, async ({ page }) => {
      await page.goto(own.url);
      await page.locator('#start-failed').waitFor({ state: 'visible' });
      assert.match(await page.locator('#start-failed').innerText(), /could not start.*records are safe/s);
      assert.equal(await page.locator('#starting').isVisible(), false);
    });
  } finally {
    await own.stop();
  }
}));

test('says so in words when JavaScript is off', () => withSeat({ javaScriptEnabled: false }, async ({ page }) => {
  await page.goto(server.url);
  assert.match(await page.locator('noscript').innerText(), /needs JavaScript/);
}));

test('is served with the headers a host should send', async () => {
  const answer = await fetch(server.url);
  assert.equal(answer.headers.get('content-type'), 'text/html; charset=utf-8');
  assert.match(answer.headers.get('content-security-policy'), /^default-src 'none'; .*frame-ancestors 'none'$/);
  assert.match(answer.headers.get('permissions-policy'), /camera=\(self\)/);
  const again = await fetch(server.url, { headers: { 'if-none-match': answer.headers.get('etag') } });
  assert.equal(again.status, 304);
  for (const [path, type] of [['manifest.webmanifest', 'application/manifest+json'], ['favicon.svg', 'image/svg+xml'], ['sw.js', 'text/javascript; charset=utf-8']]) {
    assert.equal((await fetch(server.url + path)).headers.get('content-type'), type);
  }
  for (const path of ['nothing', '.htaccess', '../sw.js', 'inner/']) assert.equal((await fetch(server.url + path)).status, 404, path);
});

test('temperatures begin as the region has them, and stay as they are chosen', async () => {
  for (const [locale, first] of [['en-US', '°F'], ['es-MX', '°C'], ['de', '°C']]) {
    await withSeat({ locale }, async ({ page, faults }) => {
      await visit(page, server.url, '#/settings');
      await page.getByRole('button', { name: first, exact: true, pressed: true }).waitFor();
      const other = first === '°F' ? '°C' : '°F';
      await button(page, other).tap();
      await reload(page);
      await page.getByRole('button', { name: other, exact: true, pressed: true }).waitFor();
      assert.deepEqual(faults, []);
    });
  }
});
