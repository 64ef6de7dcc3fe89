// What is shown is what is stored: tabs that were away, saves in the midst of an import, identities that change, blocks
// and shortcuts that are harmed.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { reload, visit } from './harness/browser.mjs';
import { addIncubator, atShelf, bar, button, field, link, pick, said, title } from './harness/keeper.mjs';
import { alter, behind, dropBlock, forget, spoil } from './harness/meta.mjs';
import { readings, stored, taken, unbroken } from './harness/records.mjs';
import { site } from './harness/site.mjs';

/** Rows are sealed into blocks once there are so many. */
const SEAL_AT = 400;

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const reading = (n) => `${(26 + n / 100).toFixed(1)} °C`;
const shown = (page, n) => page.getByText(reading(n)).first().waitFor();

/** Comes back when the page has said that it is saved. */
const takeOne = (page, n) => readings(page, n, n, () => {});

/** The check by hand finds nothing: what is stored is what was stored, and what is shown is all of it. */
async function sound(page) {
  await bar(page, 'More').tap();
  await link(page, /^Backup and sharing/).tap();
  await button(page, 'Check now').tap();
  await page.getByText(/All of it is as it was stored, and shown as it is stored/).waitFor({ timeout: 60_000 });
}

/** As `sound`, where something was found and put right before or by this check. */
async function mended(page) {
  await bar(page, 'More').tap();
  await link(page, /^Backup and sharing/).tap();
  await button(page, 'Check now').tap();
  await page.getByText(/^Looked at/).waitFor({ timeout: 60_000 });
}

/** From now on the page is told that nobody sees it, or that somebody does. */
const hide = (page, hidden) => page.evaluate((hidden) => {
  Object.defineProperty(document, 'hidden', { configurable: true, get: () => hidden });
  document.dispatchEvent(new Event('visibilitychange'));
}, hidden);

const settled = (page) => page.waitForTimeout(800);

test('a tab in the background while another saves 420 acts shows them all when it comes back, and keeps nothing stale', () => atShelf(server, async ({ context, page }) => {
  await readings(page, 1, 6, () => {});
  const other = await context.newPage();
  await visit(other, page.url());
  await title(other, /Shelf 1/).waitFor();
  await hide(page, true);
  await readings(other, 7, 426, () => {});
  const before = await stored(other);
  assert.ok(before.names.length >= 1, 'rows were sealed meanwhile');
  await page.bringToFront();
  await hide(page, false);
  await shown(page, 426);
  await takeOne(page, 500);
  await shown(page, 500);
  await settled(page);
  const { lines } = await stored(page);
  unbroken(lines);
  assert.equal(taken(lines).size, 427);
  await reload(page);
  await shown(page, 500);
  await sound(page);
}));

test('a page loaded again after a few acts tells of no harm', () => atShelf(server, async ({ page }) => {
  await readings(page, 1, 5, () => {});
  for (let time = 0; time < 3; time += 1) {
    await reload(page);
    await shown(page, 5);
    await settled(page);
  }
  await bar(page, 'Rounds').tap();
  await settled(page);
  assert.equal(await page.getByText('Some stored records were damaged').count(), 0);
  await sound(page);
  assert.equal(await page.getByText('Some stored records were damaged').count(), 0);
}));

test('tip lost, then 400 saves: no line is put over another', () => atShelf(server, async ({ page }) => {
  await readings(page, 1, 20, () => {});
  const before = (await stored(page)).lines;
  await forget(page, 'tip');
  await readings(page, 21, 21 + SEAL_AT, () => {});
  await settled(page);
  const { lines, names } = await stored(page);
  unbroken(lines);
  assert.ok(names.length >= 1, 'rows were sealed');
  const there = new Set(lines);
  for (const line of before) assert.ok(there.has(line), 'a line of before is gone');
  assert.equal(taken(lines).size, 21 + SEAL_AT);
  await sound(page);
}));

test('a snapshot that was changed is not believed', () => atShelf(server, async ({ page }) => {
  await readings(page, 1, SEAL_AT, () => {});
  await settled(page);
  assert.ok(await alter(page, '2999', '2111'), 'a temperature stands in the snapshot');
  await reload(page);
  await shown(page, SEAL_AT);
  await settled(page);
  await sound(page);
}));

test('a block that is lost is named, a bundle is not made without a word, and what follows is shown', () => atShelf(server, async ({ page }) => {
  await readings(page, 1, SEAL_AT, () => {});
  await settled(page);
  await readings(page, SEAL_AT + 1, 2 * SEAL_AT + 20, () => {});
  await settled(page);
  const lost = await dropBlock(page);
  await reload(page);
  await shown(page, 2 * SEAL_AT + 20);
  await bar(page, 'Rounds').tap();
  await page.getByText('Some stored records were damaged').waitFor();
  await bar(page, 'More').tap();
  await link(page, /^Backup and sharing/).tap();
  await page.getByText(new RegExp(`${lost} entries missing: stored once, and gone now`)).waitFor();
  await takeAgain(page);
}));

/** The next act is saved, shown, and still there after a new start. */
async function takeAgain(page) {
  await bar(page, 'More').tap();
  await link(page, /^Places/).tap();
  const shelf = link(page, /^Shelf 1/).first();
  const placed = await shelf.waitFor({ timeout: 10_000 }).then(() => true, () => false);
  if (!placed) await addIncubator(page);
  await link(page, /^Shelf 1/).first().tap();
  await title(page, /Shelf 1/).waitFor();
  await takeOne(page, 900);
  await shown(page, 900);
  await settled(page);
  await reload(page);
  await shown(page, 900);
  await mended(page);
  await sound(page);
}

const HARMS = [
  ['who writes is gone', (page) => forget(page, 'me')],
  ['who writes is garbage', (page) => spoil(page, 'me', '{"book":')],
  ['what is known of other devices is garbage', (page) => spoil(page, 'exchange', 'not JSON')],
  ['the list of blocks is garbage', (page) => spoil(page, 'directory', '[{')],
  ['all of meta is gone', (page) => behind(page, 'meta', (store) => { store.clear(); })],
  ['a row is of another type', (page) => behind(page, 'entries', async (store, done) => {
    const keys = await done(store.getAllKeys());
    store.put({ not: 'a line' }, keys[3]);
  })],
  ['a row is cut short', (page) => behind(page, 'entries', async (store, done) => {
    const keys = await done(store.getAllKeys());
    store.put((await done(store.get(keys[3]))).slice(0, 40), keys[3]);
  })],
];

for (const [what, harm] of HARMS) {
  test(`${what}: the app starts with the records, says what was found, and goes on`, () => atShelf(server, async ({ page }) => {
    await readings(page, 1, 12, () => {});
    const before = (await stored(page)).lines;
    await harm(page);
    await reload(page);
    await shown(page, 12);
    await bar(page, 'Rounds').tap();
    await page.getByText('Some stored records were damaged').waitFor();
    const there = new Set((await stored(page)).lines.filter((line) => typeof line === 'string'));
    const gone = before.filter((line) => !there.has(line));
    assert.ok(gone.length <= 1, `${gone.length} lines are gone`);
    await takeAgain(page);
  }));
}

test('the records are deleted under an open page: it does not call them safe', () => atShelf(server, async ({ context, page }) => {
  await readings(page, 1, 3, () => {});
  const other = await context.newPage();
  await other.goto(`${server.url}format.html`);
  await other.evaluate(() => new Promise((then, failed) => {
    const asked = indexedDB.deleteDatabase(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`);
    asked.onsuccess = then;
    asked.onerror = failed;
  }));
  await page.bringToFront();
  await page.getByRole('alert').getByText(/^The records were removed from this device/).waitFor();
  assert.equal(await page.getByText(/Everything saved is safe/).count(), 0);
}));

/** Runs in the page: what is written takes `ms` longer to be durable. */
function slowly(ms) {
  const real = IDBTransaction.prototype.commit;
  IDBTransaction.prototype.commit = function commit() {
    if (this.mode !== 'readwrite') return real.call(this);
    const until = performance.now() + ms;
    const store = this.objectStore(this.objectStoreNames[0]);
    const hold = () => {
      if (performance.now() > until) real.call(this);
      else store.count().onsuccess = hold;
    };
    hold();
  };
}

test('four Enters while storage is slow save one reading, and the page says that it works', () => atShelf(server, async ({ page }) => {
  await page.evaluate(`(${slowly})(1500)`);
  await field(page, 'Thermometer reading').fill('27.12');
  for (let n = 0; n < 4; n += 1) await field(page, 'Thermometer reading').press('Enter');
  await page.getByText('Saving …').waitFor();
  await said(page, 'Reading saved.');
  await settled(page);
  const { lines } = await stored(page);
  assert.equal(lines.filter((line) => line.includes('2712')).length, 1);
}));

test('two taps 40 ms apart on "Save" add one animal', () => atShelf(server, async ({ page }) => {
  await bar(page, 'Animals').tap();
  await link(page, /Add an animal/).first().tap();
  await field(page, 'Name').fill('Twice');
  await field(page, 'Code').fill('T01');
  await pick(page, 'Species').selectOption({ index: 1 });
  const save = await button(page, 'Save').boundingBox();
  const at = [save.x + save.width / 2, save.y + save.height / 2];
  await page.touchscreen.tap(...at);
  await page.waitForTimeout(40);
  await page.touchscreen.tap(...at);
  await settled(page);
  await settled(page);
  const { lines } = await stored(page);
  assert.equal(lines.filter((line) => line.includes('"Twice"')).length, 1);
}));
