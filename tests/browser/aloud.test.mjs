// What a screen reader is given of the main pages, word for word, as somebody has read it through: tests/browser/aloud/.
// After a change on purpose: CANDLEMARK_ALOUD=1 writes the files anew, and the difference is read before it is committed.
import assert from 'node:assert/strict';
import { readFile, writeFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { seat, settled, visit } from './harness/browser.mjs';
import { loadSeason } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

/** A Monday morning: the season is made for the day on which it is loaded, so on one day it is always the same. */
const NOW = new Date('2026-06-15T09:00:00+01:00');

let server;
let open;
before(async () => {
  server = await site();
  open = await seat();
  await open.page.clock.setFixedTime(NOW);
  await visit(open.page, server.url);
  await loadSeason(open.page);
});
after(async () => {
  await open?.close();
  await server?.stop();
});

/** The address of the first link on a page that begins so. */
async function first(from, start) {
  await visit(open.page, server.url, from);
  const link = open.page.locator(`main a[href^="${start}"]`).first();
  await link.waitFor();
  return link.getAttribute('href');
}

for (const [name, address] of [
  ['rounds', async () => '#/'],
  ['box', () => first('#/boxes', '#/box/')],
  ['candling', async () => `${await first('#/boxes', '#/box/')}/candle`],
  ['season', async () => '#/season'],
]) {
  test(`read aloud, this makes sense: ${name}`, async () => {
    await visit(open.page, server.url, await address());
    await open.page.locator('main h1').waitFor();
    await settled(open.page);
    const file = new URL(`aloud/${name}.txt`, import.meta.url);
    const told = async () => `${(await open.page.locator('main').ariaSnapshot()).replace(/^.*- \/url: .*\n?/gm, '')}\n`;
    let now = await told();
    if (process.env.CANDLEMARK_ALOUD) await writeFile(file, now);
    const read = await readFile(file, 'utf8');
    // What is reckoned after the first paint comes a little later.
    for (let tries = 0; now !== read && tries < 50; tries += 1) {
      await open.page.waitForTimeout(100);
      now = await told();
    }
    assert.equal(now, read);
    assert.deepEqual(open.faults, []);
  });
}
