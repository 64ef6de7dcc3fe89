// The guide, from an empty barn: every part is read on to, and every step leads to a page there is.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { violations } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { atBarn, bar, link, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

test('first steps are found on an empty page, and one part leads to the next', () => atBarn(server, {}, async ({ page, faults }) => {
  await link(page, 'First steps, one by one').tap();
  await title(page, 'First steps').waitFor();
  const seen = new Set();
  const leads = new Set();
  for (;;) {
    const heading = await page.locator('main h1').innerText();
    assert.ok(!seen.has(heading), heading);
    seen.add(heading);
    assert.ok(await page.locator('.guide > li').count() >= 5, heading);
    for (const to of await page.locator('.guide a').evaluateAll((all) => all.map((a) => a.hash))) leads.add(to);
    assert.deepEqual(await violations(page), [], heading);
    await shot(page, `guide-${seen.size}`, { fullPage: true });
    const next = page.locator('a.row[href^="#/guide/"]');
    if (await next.count() === 0) break;
    const name = await next.locator('.title').innerText();
    await next.tap();
    await title(page, name).waitFor();
  }
  assert.equal(seen.size, 7);
  for (const to of leads) {
    await page.evaluate(() => { location.hash = '#/doubles'; });
    await title(page, 'Duplicates').waitFor();
    await page.evaluate((to) => {
      document.querySelector('main h1').dataset.before = '';
      location.hash = to;
    }, to);
    // An address that leads nowhere has no heading.
    await page.locator('main h1:not([data-before])').first().waitFor();
  }
  assert.ok(leads.size > 15, `${leads.size} pages`);
  await bar(page, 'More').tap();
  await link(page, /^Guide/).tap();
  await title(page, 'Guide').waitFor();
  assert.equal(await page.locator('main a.row').count(), seen.size);
  assert.deepEqual(faults, []);
}));

test('the page of licences names what ships', () => atBarn(server, {}, async ({ page, faults }) => {
  await bar(page, 'More').tap();
  await link(page, /^Licences of/).tap();
  await title(page, 'Licences').waitFor();
  await page.getByRole('listitem').filter({ hasText: /^leptos \d.*: MIT/ }).waitFor();
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), page.viewportSize().width);
  assert.ok(await page.locator('pre').count() > 20);
  assert.deepEqual(await violations(page), []);
  await shot(page, 'licences');
  assert.deepEqual(faults, []);
}));
