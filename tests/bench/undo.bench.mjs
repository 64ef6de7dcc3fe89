// From the tap on "Undo" to the message that it is undone, and from the tap on "Save" to "saved", with a past of 1,000 and
// of 100,000 acts: both told as a ratio, since an act should not take longer for what was done before it. Processor slowed
// four times.
import { kept, seat, visit } from '../browser/harness/browser.mjs';
import { button, field, title } from '../browser/harness/keeper.mjs';
import { site } from '../browser/harness/site.mjs';
import { history, keep } from './history.mjs';
import { median, report } from './report.mjs';

const SIZES = [1_000, 100_000];
const TIMES = 15;

/** Runs in a shelf's page: a reading saved and undone, with the milliseconds each took. */
async function once(n) {
  const said = (text) => new Promise((then) => {
    const look = () => {
      if (!document.querySelector('.toast')?.textContent.includes(text)) return;
      watching.disconnect();
      then(performance.now());
    };
    const watching = new MutationObserver(look);
    watching.observe(document, { childList: true, subtree: true, characterData: true });
  });
  const field = document.querySelector('form.reading input');
  field.value = (26 + n / 100).toFixed(2);
  field.dispatchEvent(new Event('input', { bubbles: true }));
  const saved = said('Reading saved.');
  const tapped = performance.now();
  field.form.requestSubmit();
  const save = await saved - tapped;
  await new Promise((then) => setTimeout(then, 600));
  const undone = said('Undone.');
  const again = performance.now();
  [...document.querySelectorAll('.toast button')].find((one) => one.textContent === 'Undo').click();
  const undo = await undone - again;
  await new Promise((then) => setTimeout(then, 600));
  return { save, undo };
}

const app = await site();
const rows = [];
try {
  for (const entries of SIZES) {
    const past = await history(entries);
    const { context, page, close } = await seat({ own: true });
    context.setDefaultTimeout(120_000);
    await visit(page, app.url);
    await kept(page);
    await keep(page, past);
    await visit(page, app.url, '#/place/new');
    await field(page, 'Name').fill('Incubator of the bench');
    await field(page, 'Set temperature').fill('27.8');
    await button(page, 'Save').tap();
    await title(page, /Incubator of the bench/).waitFor();
    const tool = await context.newCDPSession(page);
    await tool.send('Emulation.setCPUThrottlingRate', { rate: 4 });
    const times = [];
    for (let n = 1; n <= TIMES; n += 1) times.push(await page.evaluate(once, n));
    rows.push({ entries, save_ms: median(times.map((time) => time.save)), undo_ms: median(times.map((time) => time.undo)) });
    await close();
  }
} finally {
  await app.stop();
}
const [few, many] = rows;
await report('undo', [...rows, { entries: 'ratio', save_ms: many.save_ms / few.save_ms, undo_ms: many.undo_ms / few.undo_ms }]);
