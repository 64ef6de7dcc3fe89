// A spreadsheet of animals with parents, weights and places: from the file chosen to its rows shown, from an answer changed
// to its rows shown again, from "Bring in" to saved, from "Undo" to undone. 200 and 2,000 animals, told as a ratio: ten times
// the rows should take no more than ten times as long.
import { kept, seat, visit } from '../browser/harness/browser.mjs';
import { site } from '../browser/harness/site.mjs';
import { median, report } from './report.mjs';

const SIZES = [200, 2_000];
const TIMES = 5;

function sheet(rows) {
  const line = (n) => [`K${n}`, `Animal ${n}`, 'corn', n % 2 ? 'f' : 'm', '5/3/21', n > 2 ? 'K1' : '', n > 2 ? 'K2' : '', 200 + n, `Rack ${1 + n % 40} / ${1 + Math.floor(n / 40)}`].join(',');
  return ['Code,Name,Species,Sex,Born,Dam,Sire,Weight (g),Place', ...Array.from({ length: rows }, (_, n) => line(n + 1))].join('\n');
}

/** In the page: the milliseconds from a button tapped, or a file given, until a message says so. */
async function took({ tap, give, until }) {
  const says = () => [...document.querySelectorAll('[role=status], .toast')].some((one) => one.textContent.includes(until));
  const from = performance.now();
  if (tap) [...document.querySelectorAll('button')].find((one) => one.textContent.trim() === tap).click();
  if (give) {
    const data = new DataTransfer();
    data.items.add(new File([give], 'barn.csv', { type: 'text/csv' }));
    const input = document.querySelector('input[type=file]');
    input.files = data.files;
    input.dispatchEvent(new Event('change', { bubbles: true }));
  }
  while (!says()) await new Promise((then) => setTimeout(then, 4));
  await new Promise((then) => requestAnimationFrame(() => setTimeout(then)));
  return performance.now() - from;
}

async function once(app, rows) {
  const { context, page, close } = await seat({ own: true });
  context.setDefaultTimeout(120_000);
  await visit(page, app.url);
  await kept(page);
  await visit(page, app.url, '#/sheet');
  await page.locator('input[type=file]').waitFor({ state: 'attached' });
  const read = await page.evaluate(took, { give: sheet(rows), until: `${rows} do not` });
  const answered = await page.evaluate(took, { tap: '3 May 2021', until: `${rows} rows come in` });
  const saved = await page.evaluate(took, { tap: `Import ${rows} rows`, until: `${rows} rows imported` });
  const undone = await page.evaluate(took, { tap: 'Undo', until: 'Undone' });
  await close();
  return { read, answered, saved, undone };
}

const app = await site();
const told = [];
try {
  for (const rows of SIZES) {
    const times = [];
    for (let n = 0; n < TIMES; n += 1) times.push(await once(app, rows));
    const of = (what) => median(times.map((time) => time[what]));
    told.push({ rows, read_ms: of('read'), answered_ms: of('answered'), saved_ms: of('saved'), undone_ms: of('undone') });
  }
} finally {
  await app.stop();
}
const [few, many] = told;
const ratio = Object.fromEntries(Object.keys(few).filter((key) => key !== 'rows').map((key) => [key, many[key] / few[key]]));
await report('sheet', [...told, { rows: 'ratio', ...ratio }]);
