// What Rounds showed last stands from the first moment of a start, takes no taps, and gives way to the page; it is never of another
// day, other records or another address.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { drawn, shot, visit } from './harness/browser.mjs';
import { addAnimal, atBarn, bar, button, link, startByHand, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** Without the copy for offline use, so that the program can be held back. */
const plain = { serviceWorkers: 'block' };

const held = (page) => page.evaluate(() => JSON.parse(localStorage.getItem(Object.keys(localStorage).find((key) => key.endsWith('first'))) ?? 'null'));
/** Waits until Rounds is kept, with this in it. */
const kept = (page, part) => page.waitForFunction((part) => Object.entries(localStorage).some(([key, value]) => key.endsWith('first') && value.includes(part)), part);
const stands = (page) => page.locator('#start[data-first]');

/** Loads the page anew with its program held back until `act` is over. */
async function slowly(page, act) {
  let go;
  const free = new Promise((done) => { go = done; });
  await page.route(/\.wasm$/, async (route) => { await free; await route.continue().catch(() => { /* the page is gone */ }); });
  await page.reload({ waitUntil: 'commit' });
  await page.locator('#start').waitFor({ state: 'attached' });
  // What stands at once stands before the program's script is asked for.
  await page.waitForFunction(() => document.readyState !== 'loading');
  try {
    await act();
  } finally {
    go();
    await page.unroute(/\.wasm$/);
  }
  await drawn(page);
}

/** A barn with something on Rounds, seen there. */
async function withRounds(page) {
  await startByHand(page);
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  await kept(page, 'Rounds');
}

for (const kind of ['phone', 'desktop']) {
  test(`what Rounds showed stands at once and takes no taps: ${kind}`, () => atBarn(server, { kind, ...plain }, async ({ page, faults }) => {
    await visit(page, server.url);
    await button(page, 'Load the Alder Lane season').click();
    await page.getByText('Alder Lane, an invented season').waitFor();
    if (kind === 'desktop') await page.locator('.side').waitFor();
    await kept(page, 'row');
    const rows = await page.locator('main .row').allInnerTexts();
    assert.ok(rows.length > 3);
    await slowly(page, async () => {
      await stands(page).waitFor();
      assert.deepEqual(await page.locator('#start .row').allInnerTexts(), rows);
      assert.match(await page.locator('#first-said').innerText(), /^As it stood at \d\d:\d\d\. Opening…$/);
      assert.equal(await page.locator('#starting').isVisible(), false);
      await shot(page, `first-${kind}`);
      const box = await page.locator('#start .row').first().boundingBox();
      if (kind === 'phone') await page.touchscreen.tap(box.x + 40, box.y + 20);
      else await page.mouse.click(box.x + 40, box.y + 20);
      assert.match(await page.evaluate(() => location.hash), /^(#\/)?$/);
      assert.equal(await page.evaluate(() => document.querySelector('#start > div').inert), true);
    });
    assert.deepEqual(await page.locator('main .row').allInnerTexts(), rows);
    assert.equal(await page.locator(kind === 'phone' ? 'nav.bar' : '.side').count(), 1, 'nothing is doubled, and what stood at the side stands there');
    assert.deepEqual(faults, []);
  }));
}

test('it is of this day, this address, these settings and these records alone', () => atBarn(server, plain, async ({ page, faults }) => {
  await withRounds(page);
  const nothing = async (why) => slowly(page, async () => assert.equal(await stands(page).count(), 0, why));
  await slowly(page, () => stands(page).waitFor());

  await bar(page, 'Animals').tap();
  await title(page, 'Animals').waitFor();
  await nothing('another address');
  await bar(page, 'Rounds').tap();
  await kept(page, 'Rounds');
  await slowly(page, () => stands(page).waitFor());

  // An act on another page: what Rounds showed before it is not shown any more.
  await addAnimal(page, 'Ash', 'A01');
  assert.equal(await held(page), null);
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  await page.evaluate(() => window.dispatchEvent(new Event('pagehide')));
  await kept(page, 'Rounds');

  // Other settings draw another page; by these it is dark from the first moment.
  await bar(page, 'More').tap();
  await link(page, /^Settings/).tap();
  await title(page, 'Settings').waitFor();
  await button(page, 'Night').tap();
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  await slowly(page, async () => {
    await stands(page).waitFor();
    assert.equal(await page.locator('html').getAttribute('data-theme'), 'night');
  });
  await page.addInitScript(() => localStorage.removeItem(`candlemark:${new URL('.', location.href).pathname}`));
  await nothing('other settings');

  await kept(page, 'Rounds');
  await page.addInitScript(() => {
    const Own = Date;
    globalThis.Date = class extends Own {
      constructor(...parts) { super(...(parts.length > 0 ? parts : [Own.now() + 86_400_000])); }
      static now() { return Own.now() + 86_400_000; }
    };
  });
  await nothing('another day');
  assert.deepEqual(faults, []);
}));

test('where the program cannot start, what stood gives way to the sentence that says so', () => atBarn(server, plain, async ({ page }) => {
  await withRounds(page);
  await page.route(/\.wasm$/, (route) => route.fulfill({ status: 200, contentType: 'application/wasm', body: 'not code' }));
  await page.reload({ waitUntil: 'commit' });
  await page.locator('#start-failed').waitFor({ state: 'visible' });
  assert.equal(await stands(page).count(), 0);
  assert.equal(await page.locator('#start .row, #start nav').count(), 0);
}));

test('a tab that nobody sees does not keep what it showed before another tab saved', () => atBarn(server, plain, async ({ page, context, faults }) => {
  await withRounds(page);
  await page.evaluate(() => {
    Object.defineProperty(document, 'hidden', { configurable: true, get: () => true });
    document.dispatchEvent(new Event('visibilitychange'));
  });
  assert.notEqual(await held(page), null, 'as it is left, it is kept');
  const other = await context.newPage();
  await visit(other, server.url);
  await addAnimal(other, 'Fern', 'F01');
  assert.equal(await held(other), null);
  await page.evaluate(() => window.dispatchEvent(new Event('pagehide')));
  assert.equal(await held(other), null);
  assert.deepEqual(faults, []);
}));
