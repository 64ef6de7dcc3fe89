// The records' database taken away under the app: closed by the browser, or wanted by a newer version in another tab.
// Nothing hangs, nothing is lost, and what is typed stays.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { drawn, reload } from './harness/browser.mjs';
import { atShelf, bar, button, field, link, said, title } from './harness/keeper.mjs';
import { readings, stored, taken, unbroken } from './harness/records.mjs';
import { site } from './harness/site.mjs';

const ACTS = 60;

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** A page of the same origin that is not the app. */
async function stranger(context) {
  const page = await context.newPage();
  await page.goto(`${server.url}format.html`);
  return page;
}

/** Runs in a page: opens the app's database at a version and says how that went. `hold`: keeps it when others want it. */
async function opens({ version, hold }) {
  const name = `candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`;
  return new Promise((then) => {
    const asked = indexedDB.open(name, version);
    asked.onblocked = () => then('blocked');
    asked.onerror = () => then(asked.error.name);
    asked.onupgradeneeded = () => asked.result.createObjectStore(`of_version_${version}`);
    asked.onsuccess = () => {
      window.held = asked.result;
      if (!hold) window.held.close();
      then('opened');
    };
  });
}

test('the browser closes the database again and again: every act said to be saved is there, and the next one is saved', () => atShelf(server, async ({ context, page }) => {
  const tool = await context.newPage();
  await tool.goto('chrome://indexeddb-internals');
  const force = tool.getByText('Force close', { exact: true });
  await force.waitFor();
  await page.bringToFront();
  const saved = [];
  let closed = 0;
  let acting = true;
  const acts = readings(page, 1, ACTS, (n) => saved.push(n)).finally(() => { acting = false; });
  while (acting) {
    const far = saved.length;
    await force.dispatchEvent('click');
    closed += 1;
    // Some acts in between, or the browser would only ever be opening it.
    for (let beat = 0; acting && saved.length < far + 5 && beat < 200; beat += 1) await page.waitForTimeout(10);
  }
  await acts;
  assert.ok(closed >= 3, `closed ${closed} times`);
  assert.equal(saved.length, ACTS);
  // The last of the closings may meet this look too.
  const { lines } = await stored(page).catch(() => stored(page));
  unbroken(lines);
  const there = taken(lines);
  for (const n of saved) assert.ok(there.has(n), `act ${n} was said to be saved and is not there`);
  await reload(page);
  await page.getByText('26.6 °C').first().waitFor();
}));

test('a newer version in another tab gets the records amid acts; what was said to be saved is there, and what is typed stays', () => atShelf(server, async ({ context, page }) => {
  const newer = await stranger(context);
  await page.bringToFront();
  const saved = [];
  const acts = readings(page, 1, ACTS, (n) => saved.push(n)).catch(() => { /* told below */ });
  while (saved.length < 10) await page.waitForTimeout(10);
  assert.equal(await newer.evaluate(opens, { version: 6 }), 'opened');
  await page.getByRole('alert').getByText(/^Another tab needed the records/).waitFor();
  await said(page, /^Not saved\. Another tab needed the records/);
  const typed = await field(page, 'Thermometer reading').inputValue();
  assert.equal(typed, (26 + (saved.length + 1) / 100).toFixed(2));

  const { lines } = await stored(newer);
  unbroken(lines);
  const there = taken(lines);
  for (const n of saved) assert.ok(there.has(n), `act ${n} was said to be saved and is not there`);
  await page.reload();
  await acts;
  await drawn(page);
  await page.getByRole('alert').getByText(/belong to a newer version of the app\. They are safe/).waitFor();
}));

test('an older version in another tab holds the records: it is named, and the app opens by itself when it is closed', () => atShelf(server, async ({ context, page }) => {
  const saved = [];
  await readings(page, 1, 5, (n) => saved.push(n));
  const before = (await stored(page)).lines;
  const older = await stranger(context);
  await page.goto('about:blank');
  // The same records as version 2 kept them, held by a page that does not give way.
  await older.evaluate(async () => {
    const name = `candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`;
    const done = (request) => new Promise((then, failed) => {
      request.onsuccess = () => then(request.result);
      request.onerror = () => failed(request.error);
    });
    const stores = ['entries', 'blocks', 'meta', 'photos', 'people'];
    const now = await done(indexedDB.open(name));
    const kept = {};
    for (const store of stores) {
      const reading = now.transaction(store).objectStore(store);
      const keys = await done(reading.getAllKeys());
      kept[store] = [];
      for (const key of keys) kept[store].push([key, await done(now.transaction(store).objectStore(store).get(key))]);
    }
    now.close();
    await done(indexedDB.deleteDatabase(name));
    const asked = indexedDB.open(name, 2);
    asked.onupgradeneeded = () => stores.forEach((store) => asked.result.createObjectStore(store));
    window.held = await done(asked);
    const writing = window.held.transaction(stores, 'readwrite');
    for (const store of stores) for (const [key, value] of kept[store]) writing.objectStore(store).put(value, key);
    await new Promise((then) => { writing.oncomplete = then; });
  });
  await page.bringToFront();
  await page.goto(server.url);
  await page.getByRole('alert').getByText('Close the other tabs of Candlemark').waitFor();
  await older.close();
  await bar(page, 'More').tap();
  await link(page, /^Places/).tap();
  await link(page, /Shelf 1/).first().tap();
  await page.getByText('26.1 °C').first().waitFor();
  await field(page, 'Thermometer reading').fill('27');
  await button(page, 'Save reading').tap();
  await said(page, 'Reading saved.');
  const { lines } = await stored(page);
  assert.deepEqual(lines.slice(0, before.length), before);
  assert.equal(lines.length, before.length + 1);
}));
