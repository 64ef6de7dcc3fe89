// Feeding within the taps a hand in a glove will bear; the days ahead; what nobody outside is told.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { reload, shot } from './harness/browser.mjs';
import { again, atBarn, bar, button, field, link, loadSeason, said, shows, showing, title, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const season = (act) => atBarn(server, {}, async (open) => {
  await loadSeason(open.page);
  await act({ ...open, hand: await taps(open.context) });
  assert.deepEqual(open.faults, []);
});

test('a meal at a tub whose label was read, and the next scan is open', () => season(async ({ page, hand }) => {
  await bar(page, 'Animals').tap();
  await link(page, /^Bel/).first().tap();
  await title(page, 'Bel').waitFor();
  const id = page.url().split('/').pop();
  for (const [outcome, told] of [['Ate', 'Ate: saved.'], ['Refused a meal', 'Refused a meal: saved.']]) {
    await bar(page, 'Scan').tap();
    await field(page, 'Or type the code').fill(id);
    await button(page, 'Open').tap();
    await title(page, 'Bel').waitFor();
    await hand.reset();
    await link(page, 'Meal').tap();
    await button(page, outcome).tap();
    await said(page, told);
    await title(page, 'Scan').waitFor();
    within('meal', await hand.count(), 2);
  }
}));

test('one that refuses and sheds: both are large pictures with their word at one meal', () => season(async ({ page }) => {
  await bar(page, 'Animals').tap();
  await link(page, /^Bel/).first().tap();
  await link(page, 'Meal').tap();
  await button(page, 'Ate').waitFor();
  const tiles = page.locator('.tiles > .tile');
  assert.deepEqual(await tiles.allInnerTexts(), ['Ate', 'Refused a meal', 'Regurgitated', 'Shed']);
  for (const { width, height, picture } of await tiles.evaluateAll((all) => all.map((tile) => {
    const { width, height } = tile.getBoundingClientRect();
    return { width, height, picture: getComputedStyle(tile.querySelector('.pict')).maskImage };
  }))) {
    assert.ok(width >= 120 && height >= 80, `${width} × ${height}`);
    assert.match(picture, /signs\.svg/);
  }
  await shot(page, 'meal');
  await button(page, 'Shed').tap();
  await button(page, 'In one piece').tap();
  await said(page, 'Shed, in one piece: saved.');
  // The meal is still to be said.
  await button(page, 'Refused a meal').tap();
  await said(page, 'Refused a meal: saved.');
  await title(page, 'Bel').waitFor();
  await showing(page, /Last shed today, in one piece/i);
}));

test('a whole rack is fed, then the refusers are marked', () => season(async ({ page, hand }) => {
  await bar(page, 'More').tap();
  await link(page, /^Places/).tap();
  await link(page, /^Rack C/).first().tap();
  await title(page, 'Rack C').waitFor();
  await hand.reset();
  await button(page, /^Fed: all \d+$/).tap();
  await said(page, /animals fed\. Mark who refused\./);
  const refusers = page.getByRole('button', { name: / refused$/ });
  await refusers.first().waitFor();
  const names = (await refusers.evaluateAll((all) => all.map((one) => one.getAttribute('aria-label')))).slice(0, 2);
  for (const name of names) {
    await button(page, name).tap();
    await said(page, name.replace(/ refused$/, ': refused.'));
    await page.getByRole('button', { name, exact: true, pressed: true }).waitFor();
  }
  within('feed-rack', await hand.count(), 2 + names.length);
  await shot(page, 'feed-rack');
}));

test('two taps on one spot ask how it shed, and choose nothing', () => season(async ({ page }) => {
  // The season's hatchlings are days old. Three weeks on the first shed of some is late.
  // At noon: rows come and go with a new day.
  const later = new Date(Date.now() + 20 * 24 * 3600 * 1000).setUTCHours(12, 0, 0, 0);
  await page.clock.setFixedTime(later);
  await again(page, 'Rounds');
  const asks = button(page, /^It has shed: /).first();
  await asks.scrollIntoViewIfNeeded();
  const box = await asks.boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.touchscreen.tap(x, y);
  await page.touchscreen.tap(x, y);
  await button(page, /^In one piece: /).first().waitFor();
  await page.waitForFunction(() => document.activeElement.ariaLabel?.startsWith('In one piece: '));
  // An hour later the rows say so, and what is begun on one of them stands.
  const hours = page.getByText(/pipped, not out, \d+/).first();
  const said = await hours.innerText();
  await page.clock.setFixedTime(later + 3600 * 1000);
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.waitForFunction((said) => !document.querySelector('main').innerText.includes(said), said);
  await button(page, /^In one piece: /).first().waitFor();
  await button(page, /^Cancel: /).tap();
  await asks.waitFor();
  await page.waitForFunction(() => document.activeElement.ariaLabel?.startsWith('It has shed: '));
}));

test('how a hatchling shed is the tap itself, and is put right later', () => season(async ({ page, hand }) => {
  await bar(page, 'More').tap();
  await link(page, /^Hatchlings/).tap();
  await title(page, 'Hatchlings').waitFor();
  await page.locator('a[href^="#/animal/"]').first().tap();
  await button(page, 'Seen').waitFor();
  await hand.reset();
  await button(page, 'Seen').tap();
  // Its shed comes first, and nothing of laying is offered.
  const offered = await page.locator('fieldset.field .gap button').allInnerTexts();
  assert.deepEqual(offered.slice(0, 4), ['In one piece', 'In pieces', 'Some of it stuck', 'Nobody saw how']);
  assert.equal(await button(page, 'Ovulation').count(), 0);
  await shot(page, 'seen-hatchling');
  await button(page, 'In pieces').tap();
  await said(page, 'Shed, in pieces: saved.');
  within('shed', await hand.count(), 2);
  await showing(page, /Last shed\s*today, in pieces/i);
  await link(page, /^Correct: Shed, in pieces/).first().tap();
  await button(page, 'Some of it stuck').tap();
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await showing(page, /Last shed\s*today, some of it stuck/i);
}));

test('a wish is put right, closed on a day of its own, and opened again', () => season(async ({ page }) => {
  await page.evaluate(() => { location.hash = '#/wishes'; });
  const wishes = () => button(page, 'Take off the list').count();
  await button(page, 'Take off the list').first().waitFor();
  const open = await wishes();
  await link(page, /^Correct: /).first().tap();
  await field(page, 'What they would like, in words').fill('one that eats well, put right');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await page.getByRole('heading', { level: 3, name: /put right/ }).waitFor();
  await page.getByText('Not just now?').tap();
  await button(page, 'Yesterday').tap();
  await page.locator('section.card').filter({ hasText: 'put right' }).getByRole('button', { name: 'Take off the list' }).tap();
  await said(page, 'Taken off the waiting list.');
  assert.equal(await wishes(), open - 1);
  // Closed ones stand with the person, with the way back.
  for (const person of await page.locator('a.row[href^="#/contact/"]').evaluateAll((all) => all.map((one) => one.hash))) {
    await page.evaluate((to) => { location.hash = to; }, person);
    await page.getByRole('heading', { level: 1 }).waitFor();
    if (await page.getByRole('heading', { name: 'Off the waiting list' }).count() > 0) break;
  }
  await link(page, /^Correct: .*put right/).first().tap();
  await page.getByRole('checkbox', { name: 'Off the waiting list since' }).uncheck();
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, /./).waitFor();
  assert.equal(await wishes(), open);
}));

test('a row put off is shown again; the calendar file keeps its identifiers', () => season(async ({ page }) => {
  await page.getByRole('button', { name: /^Nothing yet: / }).first().tap();
  await said(page, 'Nothing yet: shown again tomorrow.');
  await page.getByText('1 put off').tap();
  await button(page, /^Show again: /).tap();
  await said(page, 'Shown again.');
  await link(page, 'The days ahead').tap();
  await title(page, 'The days ahead').waitFor();
  await shot(page, 'ahead', { fullPage: true });
  const file = async () => {
    const [download] = await Promise.all([page.waitForEvent('download'), button(page, 'Calendar file').tap()]);
    return readFile(await download.path(), 'utf8');
  };
  const [one, two] = [await file(), await file()];
  const uids = (text) => text.match(/^UID:.*$/gm);
  assert.ok(uids(one).length > 10, `${uids(one)?.length} entries`);
  assert.deepEqual(uids(one), uids(two));
  assert.equal(new Set(uids(one)).size, uids(one).length);
  assert.ok(one.split('\r\n').every((line) => Buffer.byteLength(line) <= 75), 'folded');
}));

test('details of people stay out of the lines', () => season(async ({ page }) => {
  await bar(page, 'More').tap();
  await link(page, /^Waiting list and holds/).tap();
  await title(page, 'Waiting list and holds').waitFor();
  await button(page, 'Add somebody').tap();
  await field(page, 'Name').fill('Rosalind Marsh');
  await field(page, 'How to reach them').fill('at the third farm');
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
  await reload(page);
  await field(page, 'Name').waitFor();
  await page.waitForFunction(() => [...document.querySelectorAll('input')].some((input) => input.value === 'Rosalind Marsh'));
  const held = await page.evaluate(async () => {
    const done = (request) => new Promise((then, fail) => {
      request.onsuccess = () => then(request.result);
      request.onerror = () => fail(request.error);
    });
    // The barn and the invented season beside it.
    const all = await Promise.all((await indexedDB.databases()).map(({ name }) => done(indexedDB.open(name))));
    const read = async (store) => JSON.stringify(await Promise.all(all.map((db) => done(db.transaction(store).objectStore(store).getAll()))));
    const held = { lines: await read('entries'), people: await read('people') };
    for (const db of all) db.close();
    return held;
  });
  assert.match(held.people, /Rosalind Marsh/);
  assert.doesNotMatch(held.lines, /Rosalind|third farm/);
  assert.match(held.lines, /ContactKept/);
  await button(page, 'Erase the details for good').tap();
  await button(page, 'Erase for good').tap();
  await said(page, 'Erased for good.');
  await reload(page);
  await page.getByText('The details were erased for good.').waitFor();
  assert.doesNotMatch(await shows(page), /Rosalind/);
}));
