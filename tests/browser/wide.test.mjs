// The app on a desk and in between: sections at the side, a list that keeps its place, steps found again as they were
// left, keys, and the season on one screen.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { smallTargets, violations } from './harness/access.mjs';
import { reload, shot, visit } from './harness/browser.mjs';
import { atBarn, bar, button, link, loadSeason, shows, title, whole } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** The season at a desk; the first button is tapped, so the screen takes touches too. */
const atDesk = (act, options = {}) => atBarn(server, { kind: 'desktop', hasTouch: true, reducedMotion: 'reduce', ...options }, async (open) => {
  await loadSeason(open.page);
  await act(open);
  assert.deepEqual(open.faults, []);
});

const overflow = (page) => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
const focused = (page) => page.evaluate(() => document.activeElement?.getAttribute('href') ?? document.activeElement?.tagName);
/** Longer than a reader of labels pauses between two keys. */
const pause = (page) => page.waitForTimeout(150);

test('every section stands at the side, with what is in it', () => atDesk(async ({ page }) => {
  await page.locator('.side .n').first().waitFor();
  for (const name of ['Rounds', 'Days ahead', 'Boxes', 'Pairings', 'Animals', 'Hatchlings', 'Treatments and quarantine', 'Cooling', 'Waiting list and holds', 'Season', 'Look back', 'Places', 'What is where', 'Daybook', 'Species', 'Traits', 'Labels', 'Backup and sharing', 'Settings', 'More', 'Scan']) {
    const there = page.locator('.side').getByRole('link', { name: new RegExp(`^${name}( \\d+)?$`) });
    await there.click();
    // Marked on its own page; the heading may still be the last one's.
    await there.and(page.locator('[aria-current=page]')).waitFor();
    await page.locator('main h1:visible, main .empty:visible').first().waitFor();
    assert.equal(await page.locator('.side [aria-current=page]').count(), 1, name);
  }
  await bar(page, 'Boxes').click();
  const said = await bar(page, 'Boxes').innerText();
  await page.locator('.panes > .list .row').first().waitFor();
  // Eggs left with their mother are listed below, in no box.
  const boxes = page.locator('.panes > .list .row').filter({ hasNotText: 'eggs not counted' });
  assert.equal(Number(said.match(/\d+/)[0]), await boxes.count(), 'as many boxes as rows');
}));

test('nothing is wider than the screen at any width, and everybody can use it', () => atDesk(async ({ page }) => {
  const wrong = [];
  for (const [wide, tall] of [[390, 844], [820, 1180], [1000, 700], [1280, 800], [1920, 1080]]) {
    await page.setViewportSize({ width: wide, height: tall });
    for (const address of ['#/', '#/boxes', '#/animals', '#/season', '#/season/back', '#/daybook', '#/more', '#/pull']) {
      await page.goto(server.url + address);
      await page.locator('main h1:visible').first().waitFor();
      await whole(page);
      const over = await overflow(page);
      if (over > 0) wrong.push(`${address} at ${wide}: ${over} px`);
      await shot(page, `wide-${wide}-${address.replace(/\W+/g, '-')}`);
      if (wide === 1280) for (const line of await violations(page)) wrong.push(`${address}: ${line}`);
      if (wide === 820) for (const line of await smallTargets(page)) wrong.push(`${address} at 820: small: ${line}`);
    }
  }
  assert.deepEqual(wrong, []);
}));

test('a list keeps its place when a row is chosen, and so it does by Back', () => atDesk(async ({ page }) => {
  await bar(page, 'Animals').click();
  const list = page.locator('.panes > .list');
  await list.locator('a.row').nth(20).waitFor();
  await list.evaluate((list) => { list.dataset.same = 'yes'; list.scrollTop = 900; });
  const row = list.locator('a.row').nth(14);
  const name = (await row.locator('.title').innerText()).split(' · ')[0];
  await row.scrollIntoViewIfNeeded();
  const before = await list.evaluate((list) => list.scrollTop);
  assert.ok(before > 300, 'down the list');
  await row.click();
  await page.locator('main h1', { hasText: name }).waitFor();
  await list.locator('.row[aria-current=true]', { hasText: name }).waitFor();
  const same = () => list.evaluate((list) => [list.dataset.same, list.scrollTop]);
  assert.deepEqual(await same(), ['yes', before], 'the very list, and as far down');
  await list.locator('a.row').nth(15).evaluate((row) => row.click());
  await list.locator('a.row').nth(15).and(page.locator('[aria-current=true]')).waitFor();
  assert.deepEqual(await same(), ['yes', before]);
  await page.goBack();
  await page.locator('main h1', { hasText: name }).waitFor();
  assert.deepEqual(await same(), ['yes', before]);
  // By way of another page the list is made anew, and comes to where it was.
  await bar(page, 'Daybook').click();
  await title(page, 'Daybook').waitFor();
  await page.goBack();
  await page.locator('main h1', { hasText: name }).waitFor();
  await page.waitForFunction((before) => Math.abs(document.querySelector('.panes > .list').scrollTop - before) < 2, before);
}));

/** From a list turned and scrolled to a record, and back by the browser: the same rows at the same height. */
async function foundAgain(page, back) {
  await button(page, 'After').click();
  await page.getByText(/^61–120 of/).waitFor();
  const link = page.locator('main .row a.link, main a.row').nth(30);
  await link.evaluate((link) => link.scrollIntoView({ block: 'center' }));
  await page.waitForTimeout(100);
  const [scroll, href] = [await page.evaluate(() => scrollY), await link.getAttribute('href')];
  assert.ok(scroll > 500, 'far down');
  await link.click();
  await page.waitForFunction((href) => location.hash === href, href);
  await page.waitForFunction(() => scrollY === 0, undefined, { timeout: 5000 });
  await back();
  await page.getByText(/^61–120 of/).waitFor();
  await page.waitForFunction((scroll) => Math.abs(scrollY - scroll) <= 2, scroll);
  return { scroll, href };
}

for (const [kind, width, height] of [['phone', 390, 844], ['desktop', 1280, 800]]) {
  test(`Back returns to the same rows and as far down: ${kind}`, () => atDesk(async ({ page }) => {
    await page.setViewportSize({ width, height });
    await visit(page, server.url, '#/daybook');
    const { scroll, href } = await foundAgain(page, () => page.goBack());
    assert.equal(await focused(page), href, 'the row that was opened has the focus');
    // A phone that forgot the page meanwhile finds it too.
    await reload(page);
    await page.getByText(/^61–120 of/).waitFor();
    await page.waitForFunction((scroll) => Math.abs(scrollY - scroll) <= 2, scroll);
    // Who comes anew begins at the top, at the newest.
    await visit(page, server.url, '#/more');
    await link(page, /^Daybook/).last().click();
    await page.getByText(/^1–60 of/).waitFor();
    assert.equal(await page.evaluate(() => scrollY), 0);
  }));
}

test('a page that is shorter than it was leaves its scroll alone once somebody dictates or pastes', () => atDesk(async ({ page }) => {
  await visit(page, server.url, '#/places');
  await link(page, /cabinet/).first().click();
  await page.getByText('Note an incident').click();
  await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
  await page.waitForFunction(() => scrollY > 100);
  // The fold is shut when the page comes back, so where it was is never reached, and the page is brought as far as it goes.
  await reload(page);
  await page.waitForFunction(() => scrollY > 100);
  await page.getByText('Note an incident').click();
  await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
  await reload(page);
  const field = page.getByRole('textbox', { name: /^Thermometer reading/ });
  await field.evaluate((field) => field.focus());
  await page.keyboard.insertText('27');
  await page.evaluate(() => scrollTo(0, 0));
  const moved = await page.evaluate(async () => {
    for (let frame = 0; frame < 30; frame += 1) {
      await new Promise(requestAnimationFrame);
      if (scrollY > 0) return scrollY;
    }
    return 0;
  });
  assert.equal(moved, 0, 'nobody scrolled');
}));

test('keys find, walk a list and open a row, and none of them while somebody types', () => atDesk(async ({ page }) => {
  await bar(page, 'Boxes').click();
  const rows = page.locator('.panes > .list .row a.link');
  await rows.nth(3).waitFor();
  await page.evaluate(() => document.activeElement.blur());
  const hrefs = await rows.evaluateAll((rows) => rows.map((row) => row.getAttribute('href')));
  const at = async (i, why) => page.waitForFunction((href) => document.activeElement.getAttribute('href') === href, hrefs[i], { timeout: 3000 }).catch(() => assert.fail(why));
  await page.keyboard.press('j');
  await at(0, 'j comes to the first row');
  await pause(page);
  await page.keyboard.press('j');
  await at(1, 'and to the next');
  await pause(page);
  await page.keyboard.press('j');
  await at(2, 'and the next');
  await pause(page);
  await page.keyboard.press('k');
  await at(1, 'k goes back');
  await page.keyboard.press('Enter');
  await page.waitForFunction((href) => location.hash === href, hrefs[1]);
  await page.locator('.row[aria-current=true]').waitFor();
  // On from the row that was opened.
  await pause(page);
  await page.keyboard.press('j');
  await at(2, 'on from the row that was opened');

  await pause(page);
  await page.keyboard.press('/');
  const find = page.locator('.side').getByRole('searchbox');
  await find.and(page.locator(':focus')).waitFor();
  await page.keyboard.type('jk?/', { delay: 120 });
  assert.equal(await find.inputValue(), 'jk?/');
  assert.equal(await page.locator('dialog[open]').count(), 0, 'no key asks for anything while typing');
  await find.fill('Bel');
  await page.locator('.side .found').getByRole('link', { name: /^Bel/ }).first().click();
  await title(page, /^Bel/).waitFor();
  await page.locator('.side .found .row').first().waitFor({ state: 'detached' });

  await pause(page);
  await page.keyboard.press('?');
  const sheet = page.getByRole('dialog', { name: 'Keys' });
  await sheet.waitFor();
  for (const key of ['/', 'j', 'k', '?', 'Enter']) await sheet.getByText(key, { exact: true }).waitFor();
  assert.deepEqual(await violations(page), []);
  await shot(page, 'wide-keys');
  const focus = await focused(page);
  await page.keyboard.press('j');
  await pause(page);
  assert.equal(await focused(page), focus, 'the list is not walked under the sheet');
  await page.keyboard.press('Escape');
  await sheet.waitFor({ state: 'detached' });

  // A reader that types like a keyboard begins with a key too.
  await pause(page);
  await page.keyboard.type('/B/7K3QX2M9');
  await page.keyboard.press('Enter');
  await page.getByText('7K3Q', { exact: false }).first().waitFor();
  assert.equal(await find.inputValue(), '');
  assert.equal(await page.locator('dialog[open]').count(), 0);
}));

test('a list of several pages is walked from one to the next', () => atDesk(async ({ page }) => {
  await visit(page, server.url, '#/daybook');
  await page.getByText(/^1–60 of/).waitFor();
  const last = page.locator('main .row a.link, main a.row').last();
  await last.focus();
  await page.keyboard.press('j');
  await page.getByText(/^61–120 of/).waitFor();
  const first = await page.locator('main .row a.link, main a.row').first().getAttribute('href');
  await page.waitForFunction((href) => document.activeElement.getAttribute('href') === href, first);
}));

test('the season is on one screen, and says its values by pointer and by keyboard', () => atDesk(async ({ page }) => {
  await bar(page, 'Season').click();
  await page.locator('.table.needs').waitFor();
  await whole(page);
  const size = page.viewportSize();
  for (const part of ['.season-strip', '.season-side > .card:nth-child(1)', '.season-side > .card:nth-child(2)']) {
    const box = await page.locator(part).boundingBox();
    assert.ok(box.x + box.width <= size.width && box.y < size.height - 100, `${part} is seen: ${JSON.stringify(box)}`);
  }
  const [strip, side] = await Promise.all([page.locator('.season-strip').boundingBox(), page.locator('.season-side').boundingBox()]);
  assert.ok(side.x > strip.x + strip.width - 1 && strip.x + strip.width + side.width > size.width - 300, 'side by side, and as wide as there is room');

  const names = await page.locator('.lanes .lane b').allInnerTexts();
  const named = names.filter((name) => name !== '');
  assert.equal(new Set(named).size, named.length, `rows can be told apart: ${named.join(', ')}`);
  assert.ok(named.some((name) => / a$/.test(name)), 'a clutch in two boxes');
  assert.ok(await page.locator('.dates span').count() > 2, 'dates along the axis');
  assert.ok(await page.locator('#season-weeks text.end').count() > 2, 'numbers up the axis');

  const line = page.locator('.season-strip .readout');
  const lane = (at) => page.locator('.lanes a.lane').nth(at);
  const told = async (at) => {
    const [name, whose, when] = await Promise.all(['b', 'span:not(.unseen)', '.unseen'].map((part) => lane(at).locator(part).textContent()));
    assert.match(when, /laid .*; first pip likely .*/);
    return `${name} · ${whose}: ${when}`;
  };
  await lane(3).hover();
  assert.equal(await line.innerText(), await told(3));
  await lane(3).focus();
  await page.keyboard.press('ArrowDown');
  assert.equal(await line.innerText(), await told(4));
  const weeks = page.locator('.season-side .readout').first();
  const how = await weeks.innerText();
  await page.locator('.season-side .told').focus();
  await page.keyboard.press('ArrowRight');
  const first = await weeks.innerText();
  assert.notEqual(first, how);
  assert.match(first, /^Week of .*: .* expected, likely /);
  await page.keyboard.press('ArrowRight');
  assert.notEqual(await weeks.innerText(), first);
  await lane(4).click();
  await page.waitForFunction(() => location.hash.startsWith('#/box/'));
  await visit(page, server.url, '#/season/back');
  await page.locator('#back-chart').waitFor();
  assert.ok(await page.locator('#back-chart text.middle').count() > 2, 'more than two numbers');
  assert.doesNotMatch(await page.locator('#back-chart').innerHTML(), /…/, 'names stand whole');
  assert.doesNotMatch(await shows(page), /undefined|NaN/);
}));
