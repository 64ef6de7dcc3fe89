// What a keeper does by hand, as steps that several stories share. Everything is found by role and visible name.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { reload, seat, visit } from './browser.mjs';
import { root } from './site.mjs';

/** Runs `act` with the app open in a browser that is closed whatever happens. */
export async function atBarn(server, options, act) {
  const open = await seat(options);
  try {
    await visit(open.page, server.url);
    return await act(open);
  } finally {
    await open.close();
  }
}

export const button = (page, name) => page.getByRole('button', { name, exact: typeof name === 'string' });
export const link = (page, name) => page.getByRole('link', { name, exact: typeof name === 'string' });
/** The input of a button that chooses a file, by the button's words: two pages may have one each, and one of them may be leaving. */
export const chooser = (page, name) => page.getByLabel(name, { exact: typeof name === 'string' }).and(page.locator('input[type=file]'));
/** A page on the bar at the bottom. */
export const bar = (page, name) => page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name });
export const field = (page, name) => page.getByRole('textbox', { name: typeof name === 'string' ? new RegExp(`^${name}`) : name });
export const pick = (page, name) => page.getByRole('combobox', { name, exact: typeof name === 'string' });
export const title = (page, name) => page.getByRole('heading', { level: 1, name, exact: typeof name === 'string' });
/** Waits for what a page adds up once it has been painted (`ui::Turns`); of a page whose title is there. */
export const whole = (page) => page.locator('[data-waits]').waitFor({ state: 'detached' });
export const egg = (page, letter) => page.getByRole('button', { name: new RegExp(`^Egg ${letter},`) });

/** Waits for the message that confirms a save; it comes only when the save is durable. */
export async function said(page, text) {
  await page.getByRole('status').getByText(text).first().waitFor();
}

/** What the page shows, without the message of the last save. */
export async function shows(page) {
  return (await page.locator('main').innerText()).replace(/\s+/g, ' ').trim();
}

/** Waits until the page shows what `pattern` fits; what was tapped just before may still be on its way. */
export async function showing(page, pattern, message) {
  const { source, flags } = pattern;
  await page.waitForFunction(([source, flags]) => new RegExp(source, flags).test(document.querySelector('main').innerText.replace(/\s+/g, ' ').trim()), [source, flags])
    .catch(async () => assert.match(await shows(page), pattern, message));
}

/** Undoes the last save and waits until the page says again what it said before. */
export async function undo(page, before) {
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  await page.waitForFunction((text) => document.querySelector('main').innerText.replace(/\s+/g, ' ').trim() === text, before)
    .catch(async () => assert.equal(await shows(page), before, 'as before the act'));
}

/** Loads the page again and waits for its title. */
export async function again(page, name) {
  await reload(page);
  await title(page, name).waitFor();
}

/** The invented season, from the button on the empty first page. */
export async function loadSeason(page) {
  await button(page, 'Load the Alder Lane season').tap();
  await page.getByText('Alder Lane, an invented season').waitFor({ timeout: 60_000 });
}

/** A female, a male, and an incubator with four shelves at 27.8 °C, from the empty first page. */
export async function startByHand(page) {
  await link(page, 'Add an animal').tap();
  await field(page, 'Name').fill('Bel');
  await field(page, 'Code').fill('B07');
  await pick(page, 'Species').selectOption({ index: 1 });
  await button(page, 'Save, add another').tap();
  await said(page, 'Saved.');
  await field(page, 'Name').fill('Moss');
  await field(page, 'Code').fill('M02');
  await button(page, 'Save').tap();
  await title(page, 'Moss').waitFor();
  await addIncubator(page);
}

/** From any page: adds an animal and waits for its page. */
export async function addAnimal(page, name, code) {
  await bar(page, 'Animals').tap();
  await link(page, 'Add an animal').first().tap();
  await field(page, 'Name').fill(name);
  await field(page, 'Code').fill(code);
  await button(page, 'Save').tap();
  await title(page, new RegExp(`^${name}`)).waitFor();
}

/** A photo of the demonstration season, as a file to be chosen. */
export const jpeg = async (name) => ({ name: `${name}.jpg`, mimeType: 'image/jpeg', buffer: await readFile(`${root}public/demo/${name}.jpg`) });

/** Chooses a file as a keeper does: one tap, then the phone's own picker. */
export async function addPhoto(page, file) {
  const picker = page.waitForEvent('filechooser');
  await page.getByText('Add a photo', { exact: true }).tap();
  await (await picker).setFiles(file);
}

export async function addIncubator(page) {
  await bar(page, 'More').tap();
  await link(page, /^Places/).tap();
  await link(page, 'Add an incubator').tap();
  await field(page, 'Name').fill('Incubator A');
  await field(page, 'Set temperature').fill('27.8');
  await button(page, 'Save').tap();
  await said(page, 'Incubator A added.');
}

/** Runs `act` with a shelf's page open; fails when the browser told of a fault. */
export async function atShelf(server, act) {
  const open = await seat();
  try {
    await visit(open.page, server.url);
    await addIncubator(open.page);
    await link(open.page, /^Shelf 1/).first().tap();
    await title(open.page, /Shelf 1/).waitFor();
    await act(open);
    assert.deepEqual(open.faults, []);
  } finally {
    await open.close();
  }
}

/** From any page to an animal's. */
export async function toAnimal(page, name) {
  await bar(page, 'Animals').tap();
  await link(page, new RegExp(`^${name}`)).first().tap();
  await title(page, new RegExp(`^${name}`)).waitFor();
}

/** Pulls a clutch of Bel's into one box: `eggs` good ones; leaves the label's page open. */
export async function pullClutch(page, { eggs = 6, closed = '1486' } = {}) {
  await bar(page, 'Boxes').tap();
  await link(page, 'Pull a clutch').first().tap();
  await pick(page, 'Dam').selectOption({ label: await option(page, 'Dam', 'Bel') });
  await pick(page, 'Shelf').selectOption({ index: 1 });
  await field(page, /^Good$/).fill(String(eggs));
  await field(page, 'Dry medium').fill('200');
  await field(page, 'Water').fill('200');
  await field(page, 'Box weight, lid on').fill(closed);
  await button(page, 'Save, then label').tap();
  await title(page, 'Label').waitFor();
}

/** The whole text of the choice that holds `part`. */
export async function option(page, list, part) {
  await pick(page, list).waitFor();
  const texts = await pick(page, list).locator('option').allInnerTexts();
  const found = texts.find((text) => text.includes(part));
  assert.ok(found, `${list} offers ${part}: ${texts.join(', ')}`);
  return found;
}

/** From the label's page to its box. */
export async function toBox(page) {
  await page.locator('a.back').tap();
  await link(page, 'Candle').waitFor();
}

/** A line for the record, and a failure over the budget. */
export function within(act, count, budget) {
  console.log(`taps ${act}=${count} budget=${budget}`);
  assert.ok(count <= budget, `${act}: ${count} taps, the budget is ${budget}`);
}

/** So many days from today, as a date field wants it. */
export const dayFrom = (page, days) => page.evaluate((by) => {
  const then = new Date();
  then.setDate(then.getDate() + by);
  return `${then.getFullYear()}-${String(then.getMonth() + 1).padStart(2, '0')}-${String(then.getDate()).padStart(2, '0')}`;
}, days);
