// No room left, and a browser that lies: "saved" is said only of what is there.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { kept, reload, seat, visit } from './harness/browser.mjs';
import { atBarn, bar, button, field, link, said, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

async function typed(page, name) {
  await bar(page, 'Animals').tap();
  await link(page, 'Add an animal').first().tap();
  await field(page, 'Name').fill(name);
}

/** Saves an animal, loads the page again after "saved", and says whether the animal is there. */
async function isThere(page, name) {
  await typed(page, name);
  await button(page, 'Save').tap();
  await title(page, new RegExp(`^${name}`)).waitFor();
  await reload(page);
  await bar(page, 'Animals').tap();
  await title(page, 'Animals').waitFor();
  return await link(page, new RegExp(`^${name}`)).count() > 0;
}

test('no room left: it says so, keeps what was typed, and saves once there is room', async () => {
  const profile = await mkdtemp(join(tmpdir(), 'candlemark-room-'));
  const { origin } = new URL(server.url);
  try {
    const first = await seat({ profile });
    await visit(first.page, server.url);
    assert.ok(await isThere(first.page, 'Bel'));
    await kept(first.page);
    const usage = await first.page.evaluate(async () => (await navigator.storage.estimate()).usage);
    await first.close();

    const { context, page, close } = await seat({ profile });
    try {
      const wire = await context.newCDPSession(page);
      // Before the database opens, or the old limit stands.
      await wire.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: Math.max(1, Math.floor(usage / 2)) });
      await visit(page, server.url);
      await typed(page, 'Moss');
      await button(page, 'Save').tap();
      await said(page, /^Not saved: this device has no room left/);
      assert.equal(await field(page, 'Name').inputValue(), 'Moss');
      await wire.send('Storage.overrideQuotaForOrigin', { origin });
      await button(page, 'Save').tap();
      await title(page, /^Moss/).waitFor();
      await reload(page);
      await bar(page, 'Animals').tap();
      await link(page, /^Bel/).first().waitFor();
      await link(page, /^Moss/).first().waitFor();
    } finally {
      await close();
    }
  } finally {
    await rm(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
});

test('a browser that says "complete" too early is found out by the same look', () => atBarn(server, {}, async ({ page }) => {
  assert.ok(await isThere(page, 'Bel'));
  await page.addInitScript(() => {
    // Tells of completion first, then loses the act: as an app would that says "saved" before it is.
    IDBTransaction.prototype.commit = function commit() {
      this.dispatchEvent(new Event('complete'));
      this.abort();
    };
  });
  await reload(page);
  // The app may find it out by itself and show its page without the animal: only what is stored counts.
  await typed(page, 'Moss');
  await button(page, 'Save').tap();
  await page.waitForTimeout(2000);
  await reload(page);
  await bar(page, 'Animals').tap();
  await link(page, /^Bel/).first().waitFor();
  assert.equal(await link(page, /^Moss/).count(), 0);
}));

test('the act was asked to be durable, not only done', () => atBarn(server, {}, async ({ page }) => {
  await page.addInitScript(() => {
    window.durabilities = [];
    const real = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function transaction(stores, mode, options) {
      if (mode === 'readwrite') window.durabilities.push(options?.durability);
      return real.call(this, stores, mode, options);
    };
  });
  await visit(page, server.url);
  await reload(page);
  await typed(page, 'Bel');
  await button(page, 'Save').tap();
  await title(page, /^Bel/).waitFor();
  const asked = await page.evaluate(() => window.durabilities);
  assert.ok(asked.length > 0);
  assert.deepEqual([...new Set(asked)], ['strict']);
}));
