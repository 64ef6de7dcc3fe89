// What is typed is never lost to the app's own workings: forms that draw parts of themselves anew, and, should the app
// break all the same, a sheet that says so and holds what had been typed.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { violations } from './harness/access.mjs';
import { drawn, reload, seat, shot, visit } from './harness/browser.mjs';
import { atBarn, bar, button, field, link, pick, pullClutch, said, startByHand, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const chip = (page, name) => page.locator('.chip', { hasText: new RegExp(`^${name}$`) });

test('an incubator with more and fewer shelves, by way of a rack, keeps what was typed for each', () => atBarn(server, {}, async ({ page, faults }) => {
  await visit(page, server.url, '#/place/new');
  await field(page, 'Name').fill('Incubator Q');
  await page.getByText('Each shelf\'s own temperature').tap();
  await field(page, 'Shelf 2').fill('29.1');
  await button(page, 'Shelves, top to bottom: one more').tap();
  await button(page, 'Shelves, top to bottom: one less').tap();
  await button(page, 'Shelves, top to bottom: one more').tap();
  await chip(page, 'Rack').tap();
  await chip(page, 'Incubator').tap();
  await page.getByText('Each shelf\'s own temperature').tap();
  assert.equal(await field(page, 'Shelf 2').inputValue(), '29.1');
  await field(page, 'Shelf 5').fill('30');
  await button(page, 'Save').tap();
  await said(page, 'Incubator Q added.');
  await title(page, 'Incubator Q').waitFor();
  await page.getByText('29.1').first().waitFor();
  await link(page, /Shelf 5/).first().waitFor();
  assert.deepEqual(faults, []);
}));

test('a second box of a clutch keeps its fields while the boxes are put off and taken up again', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await visit(page, server.url, '#/pull');
  await button(page, 'Another box for this clutch').tap();
  await field(page, 'Box weight, lid on').nth(1).fill('1234');
  await page.getByText('More: number, species, clump, weights, note').tap();
  await page.getByLabel('Not boxed yet').tap();
  await page.waitForFunction(() => document.querySelectorAll('.box-fields').length === 0);
  await page.getByLabel('Not boxed yet').tap();
  assert.equal(await field(page, 'Box weight, lid on').nth(1).inputValue(), '1234');
  assert.deepEqual(faults, []);
}));

test('what is asked before a save goes with the page that asked, and nothing of it is saved', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await pullClutch(page);
  await visit(page, server.url, '#/animal/new');
  await field(page, 'Name').fill('Other');
  await field(page, 'Code').fill('B07');
  await button(page, 'Save').tap();
  const asked = page.getByRole('alertdialog', { name: 'Are you sure?' }).or(page.locator('.asked'));
  await asked.first().waitFor();
  await page.evaluate(() => { location.hash = '#/settings'; });
  await title(page, 'Settings').waitFor();
  await page.waitForFunction(() => !document.querySelector('.asked'));
  await bar(page, 'Animals').tap();
  await link(page, /^Bel/).first().waitFor();
  assert.equal(await link(page, /^Other/).count(), 0);
  assert.deepEqual(faults, []);
}));

test('a part fetched at the second try works', async () => {
  const { context, page, close } = await seat({ serviceWorkers: 'block' });
  try {
    await context.route(/split_office/, (route) => route.abort());
    await visit(page, server.url, '#/place/new');
    await page.getByText(/^This part of the app is not on this device yet/).waitFor();
    await context.unroute(/split_office/);
    await button(page, 'Try again').tap();
    await field(page, 'Name').fill('Incubator R');
    await chip(page, 'Rack').tap();
    await chip(page, 'Incubator').tap();
    await button(page, 'Save').tap();
    await title(page, 'Incubator R').waitFor();
    assert.equal(await page.locator('#broken').isVisible(), false);
  } finally {
    await close();
  }
});

/** A trap of WebAssembly's, as the app ends in one. */
const trap = (page, how) => page.evaluate(async (how) => {
  const code = [0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 7, 5, 1, 1, 102, 0, 0, 10, 5, 1, 3, 0, 0, 11];
  const { instance } = await WebAssembly.instantiate(new Uint8Array(code));
  if (how === 'later') setTimeout(() => instance.exports.f());
  else Promise.resolve().then(() => instance.exports.f());
}, how);

const broken = (page) => page.locator('#broken');

test('a panic is told over the page, with what had been typed', () => atBarn(server, { permissions: ['clipboard-read', 'clipboard-write'] }, async ({ page }) => {
  await visit(page, server.url, '#/animal/new');
  await field(page, 'Name').fill('Grandmother Willow');
  await field(page, 'Code').fill('W01');
  // The app trusts the browser to make elements: it cannot go on without.
  await page.evaluate(() => {
    const refuse = () => { throw new Error('no more elements'); };
    Document.prototype.createElement = refuse;
    Document.prototype.createTextNode = refuse;
    Node.prototype.cloneNode = refuse;
    location.hash = '#/settings';
  });
  await broken(page).waitFor();
  assert.match(await broken(page).innerText(), /^Something in the app broke\. What was saved is safe\. Load the page again to go on\./);
  await page.waitForFunction(() => document.getElementById('broken-typed').textContent !== '');
  await broken(page).locator('summary').tap();
  assert.match(await page.locator('#broken-typed').innerText(), /Name: Grandmother Willow/);
  assert.match(await page.locator('#broken-typed').innerText(), /Code: W01/);
  assert.match(await page.locator('#broken-why').innerText(), /panicked at/);
  assert.equal(await page.evaluate(() => [...document.body.children].every((child) => child.inert === (child.id !== 'broken'))), true);
  await button(page, 'Copy the details').tap();
  await page.getByText('Copied.').waitFor();
  const copied = await page.evaluate(() => navigator.clipboard.readText());
  assert.match(copied, /What you had typed:[^]*Name: Grandmother Willow[^]*panicked at/);
  const again = page.waitForEvent('load');
  await button(page, 'Load the page again').tap();
  await again;
  await drawn(page);
  assert.equal(await broken(page).isVisible(), false);
}));

test('a trap is told, at once or later, and can be read in every theme; another fault is not the app broken', () => atBarn(server, {}, async ({ page }) => {
  await page.evaluate(() => { setTimeout(() => { throw new Error('an extension of the browser'); }); Promise.reject(new Error('the same')); });
  for (const [how, theme] of [['later', 'paper'], ['promised', 'barn'], ['later', 'night']]) {
    assert.equal(await broken(page).isVisible(), false);
    await page.evaluate((theme) => { document.documentElement.dataset.theme = theme; }, theme);
    await trap(page, how);
    await broken(page).waitFor();
    await broken(page).locator('summary').tap();
    assert.match(await page.locator('#broken-why').innerText(), /unreachable/);
    assert.equal(await page.locator('#broken-had').isVisible(), false, 'nothing was typed');
    assert.deepEqual(await violations(page), []);
    await shot(page, `broken-${theme}`);
    await reload(page);
  }
}));
