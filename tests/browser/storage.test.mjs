// "Saved" means saved: the page may die, the whole browser may die, another tab may be open.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { seat, visit } from './harness/browser.mjs';
import { atBarn, bar, button, egg, link, pullClutch, said, shows, startByHand, title, toBox } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** Candles the open box: egg B has veins. Returns at the message that says it is saved. */
async function candle(page) {
  await link(page, 'Candle').tap();
  await egg(page, 'B').tap();
  await button(page, 'veins').tap();
  await button(page, 'Save: 1 egg changed').tap();
  await said(page, 'Candled: one egg changed.');
}

const candled = (page) => page.getByRole('button', { name: 'Egg B, veins' });

test('the page killed right after "saved": the act is there', () => atBarn(server, {}, async ({ context, page }) => {
  await startByHand(page);
  await pullClutch(page);
  await toBox(page);
  const box = page.url();
  await candle(page);
  const died = page.waitForEvent('crash');
  const wire = await context.newCDPSession(page);
  wire.send('Page.crash').catch(() => { /* it never answers */ });
  await died;
  const reopened = await context.newPage();
  await visit(reopened, box);
  await candled(reopened).waitFor();
}));

test('the whole browser killed right after "saved": the act is there', async () => {
  const profile = await mkdtemp(join(tmpdir(), 'candlemark-killed-'));
  try {
    const first = await seat({ profile });
    await visit(first.page, server.url);
    await startByHand(first.page);
    await pullClutch(first.page);
    await toBox(first.page);
    const box = first.page.url();
    await candle(first.page);
    await first.kill();

    const second = await seat({ profile });
    try {
      await visit(second.page, box);
      await candled(second.page).waitFor();
      await link(second.page, 'Animals').tap();
      await link(second.page, /^Bel/).waitFor();
    } finally {
      await second.close();
    }
  } finally {
    await rm(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
});

test('two tabs see each other\'s acts, and both go on writing', () => atBarn(server, {}, async ({ context, page, faults }) => {
  const other = await context.newPage();
  await visit(other, server.url);
  await startByHand(page);
  await pullClutch(page);
  await toBox(page);
  const heading = await page.getByRole('heading', { level: 1 }).innerText();
  // The other tab was opened before there was a book.
  await bar(other, 'Boxes').tap();
  await link(other, new RegExp(`^${heading.split(' ')[0]}`)).first().tap();
  await title(other, heading).waitFor();
  await page.bringToFront();
  await candle(page);
  await candled(other).waitFor();

  await other.bringToFront();
  await link(other, 'Water').tap();
  await other.getByRole('textbox', { name: /^The scale says/ }).fill('1480');
  await button(other, 'Save').tap();
  await said(other, 'Saved: 1480 g');
  await title(other, heading).waitFor();
  await page.bringToFront();
  await page.getByText(/1480 g/).first().waitFor();
  assert.equal(await shows(page), await shows(other));
  assert.deepEqual(faults, []);
}));
