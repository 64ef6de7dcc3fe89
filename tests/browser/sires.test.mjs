// Who may be the sire, by taps: a male of last season, one nobody knows, none; and what the babies say of each.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { atBarn, bar, button, dayFrom, field, link, loadSeason, said, shows, title, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** In a long list, by its own search. */
async function find(page, name) {
  await bar(page, 'Animals').tap();
  // Rounds has a search of its own.
  await title(page, 'Animals').waitFor();
  await page.getByRole('searchbox', { name: 'Find by code, name or morph' }).fill(name);
  await link(page, new RegExp(`^${name}`)).first().tap();
  await title(page, new RegExp(`^${name}`)).waitFor();
}

/** Figaro with Candytuft, more than a season ago. */
async function lastSeason(page) {
  const daysAgo = async (days) => {
    await button(page, 'Another day').tap();
    await page.getByLabel('Day', { exact: true }).fill(await dayFrom(page, -days));
  };
  await find(page, 'Candytuft');
  await link(page, 'Pair').first().tap();
  await button(page, 'Figaro').tap();
  await daysAgo(470);
  await button(page, 'Save').tap();
  await title(page, 'Candytuft × Figaro').waitFor();
  await daysAgo(452);
  await button(page, 'Separate').tap();
  await said(page, 'Separated: saved.');
}

const others = (page) => page.locator('summary').filter({ hasText: 'Other possible sires' });
const looks = (page) => link(page, /^What the babies look like/);

async function edit(page) {
  await link(page, 'Edit clutch').tap();
  await title(page, 'Edit the clutch').waitFor();
}

const seasons = (options, act) => atBarn(server, { reducedMotion: 'reduce', ...options }, async (open) => {
  await loadSeason(open.page);
  await act(open);
  assert.deepEqual(open.faults, []);
});

for (const options of [{}, { kind: 'desktop', hasTouch: true }]) {
  const what = options.kind ?? 'phone';
  // A gloved hand is a phone's.
  const picture = (page, name) => (options.kind ? shot(page, name) : fits(page, name));
  test(`a male of last season and none are named as eggs are pulled, and put right (${what})`, () => seasons(options, async ({ context, page }) => {
    await lastSeason(page);
    await find(page, 'Candytuft');
    assert.match(await shows(page), /No male since \d+ \w+ \d{4}, 452 days \(14 months\) ago: Figaro was the last with her\. Snakes can keep sperm/);
    await picture(page, `sires-${what}-her-page`);
    await link(page, 'Eggs found').tap();
    await button(page, 'Eggs found now').tap();
    await said(page, 'Eggs found: saved.');
    await link(page, 'Pull and box it').tap();
    await field(page, /^Good$/).fill('5');
    await field(page, 'Box weight, lid on').fill('1486');

    const hand = await taps(context);
    await hand.reset();
    await others(page).tap();
    await button(page, /^Figaro, last with her \d+ \w+ \d{4}$/).tap();
    await button(page, 'No male').tap();
    within('a male of last season and none named', await hand.count(), 3);
    assert.match(await shows(page), /Snakes can keep sperm from an earlier season, and some have young without a male \(parthenogenesis\)/);
    await picture(page, `sires-${what}-pull`);
    await button(page, 'Save').tap();
    await said(page, 'saved in its box');

    await find(page, 'Candytuft');
    await link(page, /Figaro.*no male/).first().tap();
    await page.getByText('Candytuft × Figaro or no male', { exact: true }).waitFor();
    assert.match(await shows(page), /No male since .*, 452 days \(14 months\) before these eggs: Figaro was the last with her\. .* Which it was, the records cannot say\./);
    await picture(page, `sires-${what}-clutch`);

    // Of eggs of which no baby is there yet, all possibilities together: she has one copy of albino, of him nothing is entered.
    await looks(page).tap();
    await page.getByText('Figaro or no male, each counted alike.').waitFor();
    const albino = page.getByRole('listitem').filter({ hasText: /^albino/ });
    assert.match((await albino.innerText()).replace(/\s+/g, ' '), /^albino 25 % 1\.[23] of 5 eggs/);
    await picture(page, `sires-${what}-mixed`);

    // Put right: what was chosen stands open.
    await page.locator('a.back').tap();
    await page.getByText('Candytuft × Figaro or no male', { exact: true }).waitFor();
    const before = await shows(page);
    await edit(page);
    assert.equal(await button(page, 'No male').getAttribute('aria-pressed'), 'true');
    await button(page, 'Unknown male').tap();
    await picture(page, `sires-${what}-edit`);
    await button(page, 'Save').tap();
    await page.getByText('Candytuft × Figaro or unknown male or no male', { exact: true }).waitFor();
    await undo(page, before);
    await page.getByText('Candytuft × Figaro or no male', { exact: true }).waitFor();
  }));
}

test('babies weigh the possibilities of their clutch, and follow when it is put right', () => seasons({}, async ({ page }) => {
  await find(page, 'Marigold');
  await link(page, /-01\b/).first().tap();
  await title(page, /-01$/).waitFor();
  await edit(page);
  await others(page).tap();
  await button(page, 'No male').tap();
  await button(page, 'Unknown male').tap();
  await button(page, 'Save').tap();
  await page.getByText('Marigold × Rusk or unknown male or no male', { exact: true }).waitFor();
  await looks(page).tap();
  // She has two copies of amelanistic, and three babies do not show it: she alone cannot be.
  const main = page.locator('main');
  await main.getByText(/^Sire: Rusk .*% \(before 33 %\), unknown male .* \(before 33 %\), no male 0 % \(before 33 %\)\.$/).waitFor();
  await main.getByText('Before any baby was looked at, each possibility counts alike.').waitFor();
  await main.getByText(/Without a male each baby is taken to have two equal copies/).waitFor();
  await fits(page, 'sires-weighed');
  await page.locator('a.back').tap();
  await page.getByText('Marigold × Rusk or unknown male or no male', { exact: true }).waitFor();
  await edit(page);
  await button(page, 'No male').tap();
  await button(page, 'Unknown male').tap();
  await button(page, 'Save').tap();
  await page.getByText('Marigold × Rusk', { exact: true }).first().waitFor();
  await looks(page).tap();
  await main.getByText(/3 amelanistic, 3\.0 expected; .*that fits/).waitFor();
  assert.equal(await main.getByText(/^Sire: /).count(), 0);
}));
