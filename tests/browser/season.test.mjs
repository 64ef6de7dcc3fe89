// A whole season by taps and scans: from the first pairing to the last animal placed; every count agrees at the end.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { again, atBarn, bar, button, egg, field, link, option, pick, pullClutch, said, shows, showing, startByHand, title, toAnimal, toBox } from './harness/keeper.mjs';
import { drawn, reload } from './harness/browser.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** The code under the square of the page's record. */
const code = (page) => page.locator('header .aside').innerText();

/** A label scanned: here its code is typed where the camera stands. */
async function scan(page, typed) {
  await bar(page, 'Scan').tap();
  await field(page, 'Or type the code').fill(typed);
  await button(page, 'Open').tap();
}

/** A calendar that can be turned on; what runs by intervals runs as ever. */
const calendar = () => {
  const Own = Date;
  const shift = () => Number(sessionStorage.getItem('calendar') ?? 0);
  globalThis.Date = class extends Own {
    constructor(...parts) {
      super(...(parts.length > 0 ? parts : [Own.now() + shift()]));
    }

    static now() {
      return Own.now() + shift();
    }
  };
};

/** So many days after the season began. */
const days = (page, n) => page.evaluate((ms) => {
  sessionStorage.setItem('calendar', '0');
  sessionStorage.setItem('calendar', String(ms - Date.now()));
}, Date.UTC(2026, 2, 20, 18, 0) + n * 86_400_000);

/** Of the clutch's page: what became of the eggs. */
async function sum(page) {
  const text = await shows(page);
  const found = text.match(/(\d+) eggs?: ((?:\d+ [a-z, -]+(?: · )?)+)\./);
  assert.ok(found, text);
  const parts = Object.fromEntries(found[2].split(' · ').map((part) => [part.replace(/^\d+ /, ''), Number.parseInt(part, 10)]));
  return { eggs: Number(found[1]), parts };
}

/** A baby looked up by its code, its page open. */
async function toBaby(page, name) {
  await bar(page, 'Rounds').tap();
  await page.getByRole('searchbox').fill(name);
  await link(page, new RegExp(`^${name}`)).first().tap();
  await title(page, name).waitFor();
}

test('from the first pairing to the last placement', () => atBarn(server, {}, async ({ page, faults }) => {
  await page.addInitScript(calendar);
  await reload(page);
  await days(page, 0);
  await startByHand(page);
  await bar(page, 'More').tap();
  await link(page, /^Places/).tap();
  await link(page, 'Add a place').tap();
  await button(page, 'Rack').tap();
  await field(page, 'Name').fill('Rack C');
  await field(page, 'Tubs in it').fill('4');
  await field(page, 'Tubs are called').fill('C');
  await button(page, 'Save').tap();
  await title(page, 'Rack C').waitFor();

  await toAnimal(page, 'Bel');
  await link(page, 'Pair').last().tap();
  await page.getByRole('group', { name: 'Male' }).getByRole('button', { name: /Moss/ }).tap();
  await button(page, 'Save').tap();
  await said(page, 'Pairing saved.');
  await days(page, 5);
  await button(page, 'Lock seen').tap();
  await said(page, 'Lock saved.');

  await days(page, 45);
  await pullClutch(page, { eggs: 5 });
  await toBox(page);
  const box = await code(page);
  const number = await page.getByRole('heading', { level: 1 }).innerText();

  // A label is read, babies are weighed one after the other, the other eggs accounted for.
  await days(page, 106);
  await scan(page, box);
  await title(page, number).waitFor();
  await link(page, 'Hatch out').first().tap();
  for (const letter of ['A', 'B', 'C']) await egg(page, letter).tap();
  const weights = page.getByRole('textbox', { name: /^Weight of / });
  await weights.nth(0).fill('8.1');
  await weights.nth(0).press('Enter');
  await page.keyboard.type('7.9');
  await page.keyboard.press('Enter');
  await page.keyboard.type('8.4');
  await pick(page, 'Into tubs, from').selectOption({ index: 1 });
  await pick(page, 'All 2 of them').selectOption({ label: 'dead in egg, full term' });
  await button(page, 'Save 3 babies').tap();
  await said(page, '3 babies: saved.');
  await showing(page, /5 eggs: 3 hatched: A, B, C · 2 dead in egg, full term: D, E\..*so it is closed/);

  await link(page, 'See the hatchlings').tap();
  await title(page, 'Hatchlings').waitFor();
  const names = ['A', 'B', 'C'].map((letter) => `${number}-${letter}`);
  const codes = [];
  await days(page, 116);
  for (const name of names) {
    await toBaby(page, name);
    await link(page, 'Label').tap();
    await button(page, 'PDF').waitFor();
    codes.push((await page.url()).split('/').pop());
    await page.goBack();
    await button(page, 'Seen').tap();
    await button(page, 'In one piece').tap();
    await said(page, 'Shed, in one piece: saved.');
  }
  for (const [at, refuser] of [[117, 1], [122, undefined], [127, undefined], [132, undefined]]) {
    await days(page, at);
    await bar(page, 'More').tap();
    await link(page, /^Places/).tap();
    await link(page, /^Rack C/).first().tap();
    await button(page, 'Fed: all 3').tap();
    await said(page, '3 animals fed.');
    if (refuser !== undefined) await button(page, `${names[refuser]} refused`).tap();
    if (refuser !== undefined) await said(page, `${names[refuser]}: refused.`);
  }
  // A meal at one tub, by its label; the next scan is open afterwards.
  await days(page, 137);
  await scan(page, codes[1]);
  await link(page, 'Meal').tap();
  await button(page, 'Ate').tap();
  await said(page, 'Ate: saved.');
  await title(page, 'Scan').waitFor();

  await days(page, 139);
  await bar(page, 'Rounds').tap();
  await page.getByText(/3 are ready by your rule/).waitFor();
  for (const name of names) {
    await toBaby(page, name);
    await link(page, 'Hold or place').tap();
    await button(page, 'Mark as gone').tap();
    await said(page, 'Its papers are ready to print.');
    // Saved is said before the papers are drawn.
    await page.getByText(/Salmonella/).first().waitFor();
    const paper = await shows(page);
    for (const part of [number, 'Bel', 'Moss', /4 taken, [01] refused|3 taken, 1 refused/, /Salmonella/]) {
      assert.match(paper, part instanceof RegExp ? part : new RegExp(part));
    }
  }

  // Every egg, and every baby, is accounted for.
  await bar(page, 'Rounds').tap();
  await page.getByRole('searchbox').fill(number);
  await link(page, new RegExp(`^${number} `)).first().tap();
  await title(page, new RegExp(number)).waitFor();
  const { eggs, parts } = await sum(page);
  assert.deepEqual({ eggs, parts }, { eggs: 5, parts: { hatched: 3, 'dead in egg, full term': 2 } });
  await link(page, 'Its hatchlings').tap();
  await button(page, 'Gone 3').tap();
  assert.equal(await page.locator('a.row').count(), 3);
  await again(page, `Hatchlings of ${number}`);
  await button(page, 'All here 0').waitFor();
  assert.deepEqual(faults, []);
}));
