// What somebody has typed is never lost: on every page it stands again after the page was loaded anew, and when they come
// back from another one. Once it is saved or given up it is gone, and what counts at once is no draft.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { drawn, reload, seat, visit } from './harness/browser.mjs';
import { again, atBarn, bar, button, egg, field, link, loadSeason, pick, pullClutch, said, startByHand, title, toBox } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { wander } from './monkey/drafts.mjs';
import { inside } from './monkey/inside.mjs';
import { BASE } from './monkey/monkey.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

test('on every page what is typed stands again after a reload and after a detour, and nothing is done by that', async () => {
  const open = await seat();
  try {
    await open.context.addInitScript(inside, { seed: 1, base: BASE });
    await visit(open.page, server.url);
    await button(open.page, 'Load the Alder Lane season').click();
    await open.page.getByText('Alder Lane, an invented season').waitFor({ timeout: 60_000 });
    const { lost, done, fields, choices } = await wander(open.page);
    console.log(`${fields} fields, ${choices} choices`);
    assert.ok(fields > 200, 'there were fields');
    assert.ok(choices > 200, 'there were choices');
    assert.deepEqual(lost, []);
    assert.deepEqual(done, []);
    assert.deepEqual(open.faults, []);
  } finally {
    await open.close();
  }
});

const HERE = 'What you had typed is here again.';
/** What is typed stands again; what does not would come within moments. */
const stands = async (page, name, text) => {
  await page.waitForFunction(([name, text]) => [...document.querySelectorAll('#page input')].some((input) => (input.labels[0]?.textContent ?? '').startsWith(name) && input.value === text), [name, text]);
};
const isNew = async (page, name) => {
  await page.waitForTimeout(600);
  assert.equal(await field(page, name).inputValue(), '', name);
  assert.equal(await page.getByText(HERE).isVisible(), false);
};

test('a clutch half pulled stands again after the phone ended the page, with its second box, what was chosen and what was counted', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await visit(page, server.url, '#/pull');
  await title(page, 'Pull a clutch').waitFor();
  await pick(page, 'Dam').selectOption({ index: 1 });
  const dam = await pick(page, 'Dam').inputValue();
  await button(page, 'A day').tap();
  await page.getByLabel('Laid on').fill('2026-05-02');
  for (let n = 0; n < 3; n += 1) await button(page, 'Good: one more').tap();
  await button(page, 'Another box for this clutch').tap();
  await field(page, 'Box weight, lid on').nth(1).fill('1234');
  await page.getByText('More: number, species, clump, weights, note').tap();
  await field(page, 'Note').fill('two stuck together');
  await page.getByLabel('Not boxed yet').tap();
  await page.getByLabel('Not boxed yet').tap();
  for (const left of [false, true]) {
    if (left) {
      await page.evaluate(() => { location.hash = '#/doubles'; });
      await title(page, 'Duplicates').waitFor();
      await page.goBack();
      await title(page, 'Pull a clutch').waitFor();
    } else await again(page, 'Pull a clutch');
    await page.waitForFunction(() => [...document.querySelectorAll('#page input')].some((input) => input.value === '1234'));
    assert.equal(await pick(page, 'Dam').inputValue(), dam);
    assert.equal(await page.getByLabel('Laid on').inputValue(), '2026-05-02');
    assert.equal(await field(page, 'Good').first().inputValue(), '3');
    assert.equal(await field(page, 'Box weight, lid on').nth(1).inputValue(), '1234');
    assert.equal(await page.getByLabel('Not boxed yet').isChecked(), false);
    await field(page, 'Note').and(page.locator(':visible')).first().waitFor();
    await stands(page, 'Note', 'two stuck together');
    await page.getByText(HERE).waitFor();
  }
  assert.deepEqual(faults, []);
}));

test('what was saved is no draft: neither Back nor a reload brings the old text', () => atBarn(server, {}, async ({ page, faults }) => {
  await visit(page, server.url, '#/animal/new');
  await field(page, 'Name').fill('Bel');
  await field(page, 'Code').fill('B07');
  await button(page, 'Save, add another').tap();
  await said(page, 'Saved.');
  await isNew(page, 'Name');
  await again(page, 'New animal');
  await isNew(page, 'Name');
  // The next one is a draft again, and no more once it is saved; the page may be come back to by a link of its own.
  await field(page, 'Name').fill('Moss');
  await again(page, 'New animal');
  await stands(page, 'Name', 'Moss');
  await field(page, 'Code').fill('M02');
  await button(page, 'Save').tap();
  await title(page, 'Moss').waitFor();
  await page.goBack();
  await page.waitForTimeout(300);
  await visit(page, server.url, '#/animal/new');
  await isNew(page, 'Name');
  assert.deepEqual(faults, []);
}));

test('of two forms on a page, saving one leaves what is typed in the other', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await link(page, /^Shelf 1/).first().tap();
  await title(page, /Shelf 1/).waitFor();
  const reading = page.locator('form.reading input').first();
  const others = page.locator('form:not(.reading) :is(input[type=text], textarea)');
  await page.evaluate(() => { for (const fold of document.querySelectorAll('#page details')) fold.open = true; });
  await others.first().fill('quorl');
  await reading.fill('27.7');
  await page.locator('form.reading button[type=submit], form.reading button.main').first().tap();
  await page.getByRole('status').getByText(/27\.7|saved|noted/i).first().waitFor();
  await page.waitForFunction(() => document.querySelector('form.reading input').value === '');
  await again(page, /Shelf 1/);
  await page.waitForFunction(() => [...document.querySelectorAll('#page form:not(.reading) :is(input, textarea)')].some((input) => input.value === 'quorl'));
  assert.equal(await reading.inputValue(), '');
  assert.deepEqual(faults, []);
}));

test('what was given up is gone; a form that a tap brought is brought again', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await bar(page, 'Animals').tap();
  await link(page, /^Bel/).first().tap();
  await title(page, 'Bel').waitFor();
  await button(page, 'Weigh').tap();
  await field(page, 'Weight').fill('412');
  // The page of the animal comes first, and then the form again.
  await reload(page);
  await page.waitForFunction(() => [...document.querySelectorAll('#page input')].some((input) => input.value === '412'));
  await button(page, 'Cancel').tap();
  await button(page, 'Weigh').tap();
  assert.equal(await field(page, 'Weight').inputValue(), '');
  await again(page, 'Bel');
  await page.waitForTimeout(600);
  assert.equal(await page.getByText(HERE).isVisible(), false);
  assert.deepEqual(faults, []);
}));

test('a draft is of its own record alone, stays while somebody is added, and is cleared by one tap', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  for (const name of ['Moss', 'Bel']) {
    await bar(page, 'Animals').tap();
    await link(page, new RegExp(`^${name}`)).first().tap();
    await title(page, name).waitFor();
    await page.evaluate(() => { location.hash += '/leave'; });
    await title(page, new RegExp(name)).waitFor();
    await field(page, 'Note').waitFor();
    await page.waitForTimeout(400);
    assert.equal(await field(page, 'Note').inputValue(), '', `of ${name}`);
    await field(page, 'Note').fill(`for ${name}`);
  }
  await link(page, 'Add somebody').tap();
  await button(page, 'Add somebody').tap();
  await title(page, 'P-001').waitFor();
  await field(page, 'Name').fill('R. Marsh');
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
  await page.goBack();
  await title(page, 'Waiting list and holds').waitFor();
  await page.goBack();
  await stands(page, 'Note', 'for Bel');
  await button(page, 'Clear').tap();
  await drawn(page);
  await isNew(page, 'Note');
  assert.deepEqual(faults, []);
}));

test('passphrases are never kept, and somebody\'s details neither once they lie locked', () => atBarn(server, {}, async ({ page, faults }) => {
  const kept = () => page.evaluate(() => JSON.stringify({ ...sessionStorage }));
  await visit(page, server.url, '#/wishes');
  await button(page, 'Add somebody').tap();
  await title(page, 'P-001').waitFor();
  const person = await page.evaluate(() => location.hash);
  await field(page, 'Name').fill('R. Marsh');
  await again(page, 'P-001');
  await stands(page, 'Name', 'R. Marsh');
  assert.match(await kept(), /Marsh/);
  await visit(page, server.url, '#/settings');
  await title(page, 'Settings').waitFor();
  await button(page, "Lock people's details").tap();
  await page.getByLabel(/^New passphrase/).fill('grey kettle under nine apples');
  await page.getByLabel('The same again', { exact: true }).and(page.locator('input')).fill('grey kettle under nine apples');
  await page.waitForTimeout(600);
  assert.doesNotMatch(await kept(), /kettle/);
  await button(page, "Lock people's details").tap();
  await said(page, "People's details are stored locked from now on.");
  assert.doesNotMatch(await kept(), /Marsh/);
  await page.evaluate((to) => { location.hash = to; }, person);
  await title(page, 'P-001').waitFor();
  await field(page, 'Name').fill('S. Field');
  await field(page, 'Reference').fill('P-017');
  await page.waitForTimeout(600);
  assert.doesNotMatch(await kept(), /Field"/);
  assert.match(await kept(), /P-017/);
  assert.deepEqual(faults, []);
}));

test('drafts are bounded, and storage that is full loses nothing else', () => atBarn(server, {}, async ({ page, faults }) => {
  const kept = () => page.evaluate(() => Object.keys(sessionStorage).filter((key) => key.includes('draft:')).length);
  await visit(page, server.url, '#/animal/new');
  for (let n = 0; n < 64; n += 1) {
    await page.evaluate((n) => { location.hash = n % 2 ? '#/animal/new' : '#/place/new'; }, n);
    await title(page, n % 2 ? 'New animal' : /place|Place/).waitFor();
    await field(page, 'Name').fill(`quorl${n}`);
  }
  await page.evaluate(() => { location.hash = '#/doubles'; });
  await title(page, 'Duplicates').waitFor();
  assert.equal(await kept(), 60);
  await page.evaluate(() => { Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }; });
  await page.evaluate(() => { location.hash = '#/animal/new'; });
  await title(page, 'New animal').waitFor();
  await field(page, 'Name').fill('Bel');
  await page.waitForTimeout(600);
  await field(page, 'Code').fill('B07');
  await button(page, 'Save').tap();
  await title(page, 'Bel').waitFor();
  assert.deepEqual(faults, []);
}));

test('a half candled box stands again, and candled it is as it was saved', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await pullClutch(page);
  await toBox(page);
  await link(page, 'Candle').tap();
  await title(page, 'Candle').waitFor();
  await page.getByRole('group', { name: 'Seen as' }).or(page.locator('.chips')).first().getByRole('button').first().tap();
  await egg(page, 'A').tap();
  await egg(page, 'B').tap();
  const save = page.locator('.acts button.main');
  const says = await save.innerText();
  await again(page, 'Candle');
  assert.equal(await save.innerText(), says);
  await save.tap();
  await link(page, 'Candle').waitFor();
  await link(page, 'Candle').tap();
  await title(page, 'Candle').waitFor();
  assert.notEqual(await save.innerText(), says);
  assert.deepEqual(faults, []);
}));

test('what is typed of one box on a walk is offered to no other', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await bar(page, 'Boxes').tap();
  await title(page, 'Boxes').waitFor();
  await page.locator('#page a[href^="#/box/"]').nth(1).waitFor();
  const codes = await page.evaluate(() => [...new Set([...document.querySelectorAll('#page a[href^="#/box/"]')].map((link) => link.getAttribute('href').split('/')[2]))]);
  assert.ok(codes.length > 1);
  const at = async (code) => {
    await field(page, 'Or type the code').fill(code);
    await button(page, 'Open').tap();
    await field(page, 'The scale says').waitFor();
    await page.waitForTimeout(400);
  };
  await visit(page, server.url, '#/walk/water');
  await at(codes[0]);
  await field(page, 'The scale says').fill('1401');
  await reload(page);
  await at(codes[1]);
  assert.equal(await field(page, 'The scale says').inputValue(), '');
  await at(codes[0]);
  assert.equal(await field(page, 'The scale says').inputValue(), '1401');
  assert.deepEqual(faults, []);
}));

test('weights of several animals stand again, with those that were ticked', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await visit(page, server.url, '#/animals/many');
  await page.getByRole('checkbox', { name: /Bel/ }).check();
  await page.getByRole('checkbox', { name: /Moss/ }).check();
  await button(page, 'Weigh').tap();
  const boxes = page.locator('#page td input, #page input[inputmode=decimal]');
  await boxes.first().fill('512');
  await reload(page);
  await page.waitForFunction(() => [...document.querySelectorAll('#page input')].some((input) => input.value === '512'));
  assert.equal(await boxes.count(), 2);
  assert.deepEqual(faults, []);
}));
