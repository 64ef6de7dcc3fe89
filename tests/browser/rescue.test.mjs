// The rescue page gives the records out when the app cannot: whatever is missing or damaged, without changing anything.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { smallTargets, violations } from './harness/access.mjs';
import { seat, shot, visit } from './harness/browser.mjs';
import { addAnimal, bar, button, chooser, link, said, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { strangersLines } from './harness/stranger.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

async function seated(options, act) {
  const open = await seat(options);
  try {
    await act(open);
    assert.deepEqual(open.faults, []);
  } finally {
    await open.close();
  }
}

/**
 * Runs in a page of this folder: changes the keeper's database past the app. `stores`: pairs of a store's name and pairs of
 * key and value to put there, `clear`: stores to be emptied. Stores are made where there is no database yet.
 */
async function lay({ stores, clear = [] }) {
  const name = `candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`;
  const db = await new Promise((then, failed) => {
    const asked = indexedDB.open(name);
    asked.onupgradeneeded = () => stores.forEach(([store]) => asked.result.createObjectStore(store));
    asked.onsuccess = () => then(asked.result);
    asked.onerror = () => failed(asked.error);
  });
  const writing = db.transaction([...stores.map(([store]) => store), ...clear], 'readwrite');
  clear.forEach((store) => writing.objectStore(store).clear());
  for (const [store, rows] of stores) {
    for (const [key, value] of rows) writing.objectStore(store).put(value, key);
  }
  await new Promise((then, failed) => { writing.oncomplete = then; writing.onabort = () => failed(writing.error); });
  db.close();
}

/** A page of the same origin that is not the app. */
async function stranger(context) {
  const page = await context.newPage();
  await page.goto(`${server.url}format.html`);
  return page;
}

async function rescue(page) {
  await page.goto(`${server.url}rescue.html`);
  await title(page, 'Rescue page').waitFor();
}

/** Presses a button, then saves what it gives. */
async function saved(page, what, name) {
  await button(page, what).click();
  const save = link(page, /^Save /);
  await save.and(page.getByText(name)).waitFor();
  const [download] = await Promise.all([page.waitForEvent('download'), save.click()]);
  assert.match(download.suggestedFilename(), name);
  return readFile(await download.path());
}

const BUNDLE = /barn-rescue-\d{4}-\d\d-\d\d\.zip/;
const LYING = /barn-as-it-lies-\d{4}-\d\d-\d\d\.json/;

const databases = (page) => page.evaluate(async () => (await indexedDB.databases()).map(({ name }) => name));

test('what the app can no longer open goes to another device: no meta, one row no text', () => seated({}, async ({ page: one }) => {
  await visit(one, server.url);
  for (const [name, code] of [['Bel', 'B07'], ['Moss', 'M02'], ['Ash', 'A01']]) await addAnimal(one, name, code);
  await bar(one, 'More').tap();
  await link(one, /^Settings/).tap();
  const keys = await one.evaluate(async () => {
    const done = (request) => new Promise((then) => { request.onsuccess = () => then(request.result); });
    const db = await done(indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`));
    const keys = await done(db.transaction('entries').objectStore('entries').getAllKeys());
    db.close();
    return keys;
  });
  assert.equal(keys.length, 3);
  await one.evaluate(lay, { stores: [['entries', [[keys[2], { text: 'an object where a line was' }]]]], clear: ['meta'] });

  await link(one, 'Rescue page').tap();
  await one.getByText(/^2 lines of 1 device, written from /).waitFor();
  await one.getByText('2 pieces could not be read').tap();
  await one.getByText(`entries ${keys[2]}: it holds no text.`).waitFor();
  const file = await saved(one, 'Make a bundle', BUNDLE);

  await seated({}, async ({ page: two }) => {
    await visit(two, server.url);
    await bar(two, 'More').tap();
    await link(two, /^Backup and sharing/).tap();
    await chooser(two, 'Open a bundle').setInputFiles({ name: 'barn-rescue.zip', mimeType: 'application/zip', buffer: file });
    await two.getByText(/^2 entries new/).waitFor();
    assert.equal(await two.getByText('Afterwards both hold the same records').count(), 0, 'nothing was said of the state');
    await button(two, 'Take it in').tap();
    await said(two, '2 entries taken in.');
    await bar(two, 'Animals').tap();
    for (const name of [/^Bel/, /^Moss/]) await link(two, name).first().waitFor();
  });
}));

test('where nothing lies it says so, and makes nothing', () => seated({}, async ({ page }) => {
  await rescue(page);
  await page.getByText(/^There are no records of this address in this browser\./).waitFor();
  assert.deepEqual(await databases(page), []);
  // Browsers that do not list databases: one that is not there must not be made by looking.
  await page.addInitScript(() => { Object.defineProperty(IDBFactory.prototype, 'databases', { value: undefined }); });
  await rescue(page);
  await page.getByText(/^There are no records/).waitFor();
  const listed = await page.context().newPage();
  await listed.goto(`${server.url}format.html`);
  assert.deepEqual(await databases(listed), []);
}));

test('a store that throws, a row that cannot be read, and one of another type cost only themselves', () => seated({}, async ({ page, context }) => {
  const chain = strangersLines(12);
  const tool = await stranger(context);
  await tool.evaluate(lay, { stores: [
    ['entries', chain.slice(8).map((line, at) => [`0STRANGR.${String(at + 9).padStart(10, '0')}`, line])],
    ['blocks', [['a', chain.slice(0, 4).join('\n')], ['b', `${chain.slice(4, 8).join('\n')}\nnot a line`], ['c', 7]]],
    ['aside', [['harmed.000000000001.000000', 'harmed text']]],
    ['meta', [['me', JSON.stringify({ book: '0STRANGE', dev: '0STRANGR', by: 'Ines', secret: [77, 78, 79] })]]],
    ['people', [['a'.repeat(64), 'Ann Smith, 5 Alder Lane']]],
  ] });
  await page.addInitScript(() => {
    const { get, getAllKeys } = IDBObjectStore.prototype;
    IDBObjectStore.prototype.getAllKeys = function () {
      if (this.name === 'blocks') throw new DOMException('the list is broken', 'DataError');
      return getAllKeys.call(this);
    };
    IDBObjectStore.prototype.get = function (key) {
      // The transaction is gone with it, as after a fault of the disk.
      if (key === '0STRANGR.0000000010') this.transaction.abort();
      if (this.name === 'people') throw new DOMException('the store is broken', 'DataError');
      return get.call(this, key);
    };
  });
  await rescue(page);
  await page.getByText('11 lines of 1 device, written from 1 June 2026, 08:00 to 1 June 2026, 08:00 by their clocks.').waitFor();
  await page.getByText('Of device 0STR these entries are not here: 10.').waitFor();
  await page.getByText('Damaged pieces set aside: 1.').waitFor();
  await page.getByText('Not in this database: photos.').waitFor();
  await page.getByText('4 pieces could not be read').click();
  for (const what of [/^entries 0STRANGR\.0000000010: /, /^people a+: DataError/, 'blocks c: it holds no text.', 'blocks b, line 5: it is no JSON.']) await page.getByText(what).waitFor();
  const file = await saved(page, 'Make a bundle', BUNDLE);
  assert.equal(file.subarray(0, 2).toString(), 'PK');

  const text = (await saved(page, 'Everything as it lies here', LYING)).toString();
  const all = JSON.parse(text);
  assert.deepEqual([all.stores.entries.length, all.stores.blocks.length, all.stores.aside[0][1]], [3, 3, 'harmed text']);
  assert.ok(!text.includes('Alder Lane') && !text.includes('77,78,79'));
}));

test('it lets go when the app wants the records, and changes nothing', () => seated({}, async ({ page, context }) => {
  const tool = await stranger(context);
  await tool.evaluate(lay, { stores: [['entries', strangersLines(2).map((line, at) => [`0STRANGR.${at}`, line])], ['photos', []]] });
  const held = await context.newPage();
  await held.goto(`${server.url}format.html`);
  // The app in another tab: an open database.
  await held.evaluate(() => new Promise((then) => {
    const asked = indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`);
    asked.onsuccess = () => {
      window.db = asked.result;
      window.db.onversionchange = () => window.db.close();
      then();
    };
  }));
  await rescue(page);
  await page.getByText(/^2 lines of 1 device/).waitFor();
  const outcome = await tool.evaluate(() => new Promise((then) => {
    const asked = indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`, 2);
    asked.onblocked = () => then('blocked');
    asked.onupgradeneeded = (event) => { window.from = event.oldVersion; };
    asked.onsuccess = () => then(`from ${window.from}: ${[...asked.result.objectStoreNames]}`);
  }));
  assert.equal(outcome, 'from 1: entries,photos');
}));

test('a database taken away while it is read is let go of, and the page says so', () => seated({}, async ({ page, context }) => {
  const tool = await stranger(context);
  await tool.evaluate(lay, { stores: [['entries', strangersLines(2).map((line, at) => [`0STRANGR.${at}`, line])], ['photos', []]] });
  await page.addInitScript(() => {
    IDBObjectStore.prototype.getAllKeys = function () {
      // A newer version of the app wants it at this moment; the answer comes when it has asked.
      const asked = indexedDB.open(this.transaction.db.name, 2);
      const answer = { result: [] };
      window.outcome = new Promise((then) => {
        asked.onblocked = () => then('blocked');
        asked.onsuccess = () => then('opened');
      });
      window.outcome.then(() => answer.onsuccess());
      return answer;
    };
  });
  await rescue(page);
  await page.getByText('Your records: could not be opened (the app in another tab wanted the records meanwhile; load this page again).').waitFor();
  assert.equal(await page.evaluate(() => window.outcome), 'opened');
}));

test('everybody can use it: on a phone, by keyboard, in light and dark', () => seated({}, async ({ page, context }) => {
  const tool = await stranger(context);
  await tool.evaluate(lay, { stores: [
    ['entries', [...strangersLines(3).map((line, at) => [`0STRANGR.${at}`, line]), ['x'.repeat(300), 'torn']]],
    ['aside', [['import.00000001.000000', 'torn too']]], ['photos', [['a'.repeat(64), 'no picture']]], ['people', [['b'.repeat(64), '{}']]],
  ] });
  for (const colorScheme of ['light', 'dark']) {
    await page.emulateMedia({ colorScheme });
    await rescue(page);
    await page.getByText(/^3 lines/).waitFor();
    await page.getByText('could not be read').click();
    assert.deepEqual(await violations(page), []);
    assert.deepEqual(await smallTargets(page), []);
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), 390);
    await shot(page, `rescue-${colorScheme}`, { fullPage: true });
  }
  await rescue(page);
  await button(page, 'Make a bundle').focus();
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement?.textContent.startsWith('Save barn-rescue-'));
  const [download] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Enter')]);
  assert.match(download.suggestedFilename(), BUNDLE);
}));
