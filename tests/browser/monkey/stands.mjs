// On every page: the day turns, and it says what it says when it is opened on that day; all fields are filled in, another tab
// saves something and the day turns, and all of it still stands.
import { visit } from '../harness/browser.mjs';
import { PAGES } from './monkey.mjs';

/** Runs in the page: opens all folds, and types into every field; the cursor stays in the last. How many there were. */
export function fill() {
  for (const fold of document.querySelectorAll('#page details')) fold.open = true;
  const kinds = ['text', 'search', 'number', 'date', 'time', 'tel', 'url', 'email'];
  const all = [...document.querySelectorAll('#page :is(input, textarea)')].filter((field) => field.matches('textarea') || kinds.includes(field.type));
  const text = (field, n) => ({ date: '2026-06-01', time: '07:05' })[field.type] ?? (['decimal', 'numeric'].includes(field.inputMode) ? String(11 + n) : `quorl${n}`);
  all.forEach((field, n) => {
    field.focus({ preventScroll: true });
    field.value = text(field, n);
    field.dispatchEvent(new Event('input', { bubbles: true }));
  });
  const name = (field) => field.ariaLabel ?? field.labels?.[0]?.textContent ?? '';
  window.typed = all.filter((field) => field.isConnected && field.value).map((field) => [name(field), field.value]);
  return window.typed.length;
}

/** Runs in the page: what does not stand any more. */
function gone() {
  const now = [...document.querySelectorAll('#page :is(input, textarea)')].map((field) => field.value);
  return window.typed.filter(([, value]) => !now.includes(value)).map(([name, value]) => `${name}: ${value}`);
}

export const still = (page) => page.evaluate(() => window.monkey.still());

export async function go(page, to) {
  await page.evaluate((to) => { location.hash = to; }, to);
  await still(page);
}

const DAY = 24 * 3600 * 1000;

/** The app lies open over midnight and is looked at again: all that is shown is looked up anew. The clock is the monkey's. */
async function turn(page, at) {
  await page.evaluate((at) => {
    localStorage.setItem('monkey:now', at);
    document.dispatchEvent(new Event('visibilitychange'));
  }, at);
  await still(page);
}

const lines = (page) => page.evaluate(() => document.querySelector('#page').innerText.split('\n').map((line) => line.trim()).filter(Boolean));

/** What the page shows, line by line, once it stays so: what is read in storage, or reckoned day by day, follows a little later. */
async function shown(page) {
  await page.waitForFunction(() => !document.querySelector('#page video') || document.querySelector('.finder-trouble'));
  for (let before = [], now = await lines(page); ; before = now, now = await lines(page)) {
    if (now.join() === before.join()) return now;
    await page.waitForTimeout(80);
  }
}

/** What the page that lay open over midnight says otherwise than one that is opened on that day. */
async function stale(page, to) {
  const open = await shown(page);
  await go(page, to === '/doubles' ? '/more' : '/doubles');
  await go(page, to);
  const anew = await shown(page);
  return [...open.filter((line) => !anew.includes(line)).map((line) => `${to} still says: ${line}`), ...anew.filter((line) => !open.includes(line)).map((line) => `${to} does not say: ${line}`)];
}

/** Takes a reading on the shelf that `page` shows, number `n` of its kind. It may be a tab behind, which draws no frames. */
async function save(page, n) {
  await page.evaluate((n) => {
    const field = document.querySelector('form.reading input');
    field.value = (26 + n / 100).toFixed(2);
    field.dispatchEvent(new Event('input', { bubbles: true }));
    field.form.requestSubmit();
  }, n);
  await page.waitForFunction(() => document.querySelector('form.reading input').value === '', undefined, { polling: 20 });
}

/** `page`: the season, with the monkey's own things in it. Says what was lost where, what was shown of another day, and how
 *  many fields there were. */
export async function stands({ context, page }, url) {
  const ids = await page.evaluate(() => window.monkey.ids());
  const other = await context.newPage();
  await visit(other, url);
  for (const id of ids.place) {
    await go(other, `/place/${id}`);
    if (await other.evaluate(() => !!document.querySelector('form.reading input'))) break;
  }
  // A tab behind looks at no clock.
  await page.bringToFront();
  if (await page.evaluate(() => document.hidden)) throw new Error('the page is not in front');
  const days = await page.evaluate((day) => [Date.now(), Date.now() + day], DAY);
  // From one day to the other and back: the season stays what it is.
  const otherDay = async () => {
    days.reverse();
    await turn(page, days[0]);
  };
  const lost = [];
  const late = [];
  let fields = 0;
  let saved = 0;
  for (const [, address] of PAGES) {
    if ([...address.matchAll(/\{(\w+)\}/g)].some(([, kind]) => !ids[kind]?.length)) continue;
    const to = address.replace(/\{(\w+)\}/g, (_, kind) => ids[kind][Math.floor(ids[kind].length / 2)]);
    await go(page, to);
    await otherDay();
    late.push(...await stale(page, to));
    const filled = await page.evaluate(fill);
    if (filled === 0) continue;
    fields += filled;
    await save(other, saved += 1);
    // The other tab is told of it, and looks it up.
    await page.waitForTimeout(60);
    await still(page);
    await otherDay();
    for (const what of await page.evaluate(gone)) lost.push(`${to} ${what}`);
  }
  return { lost, late, fields };
}
