// A barn with a past of many entries: its lines are drawn up by the examples of `app/book` and put into IndexedDB as the app
// kept them before it listed what is stored (`app/storage`); the app itself makes the rest of it at its next start.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFile } from 'node:fs/promises';
import { root } from '../browser/harness/site.mjs';

/** Runs one of the book's examples, which writes a barn into `folder`; built as `profile` is told, for the whole workspace: with one crate
 * named, cargo would compile all it stands on once more, with fewer features. */
async function drawnUp(profile, example, args, folder) {
  const all = ['run', '--quiet', '--profile', profile, '--example', example, '--', ...args, folder];
  const [code] = await once(spawn('cargo', all, { cwd: root, stdio: ['ignore', 'inherit', 'inherit'] }), 'exit');
  if (code !== 0) throw new Error(`cargo ${all.join(' ')} ended with ${code}`);
  return { lines: (await readFile(`${folder}/lines.ndjson`, 'utf8')).trimEnd().split('\n') };
}

/** Lines of a barn with about `entries` entries. */
export const history = (entries) =>
  drawnUp('release', 'history', [String(entries), new Date().toISOString().slice(0, 10)], `${root}target/bench/history-${entries}`);

/** The same of one large season: 500 animals, 300 clutches, 2,400 babies, about 60,000 meals (`examples/season`), by what
 * the unit tests have compiled already. */
export const largeSeason = () => drawnUp('dev', 'season', ['keep'], `${root}target/bench/season`);

/** Makes them the records of the app that `page` shows, which has none yet; comes back when it has made its folded state. */
export async function keep(page, { lines }) {
  const BLOCK = 1000;
  const { book, dev } = JSON.parse(lines[0]);
  const me = { book, dev: '0123456789ABCDEF'.slice(0, dev.length), by: 'Ines Harrow', secret: Array(32).fill(7) };
  await page.evaluate(async (me) => {
    window.kept = await new Promise((then, failed) => {
      const asked = indexedDB.open(`candlemark:${location.pathname}barn`);
      asked.onsuccess = () => then(asked.result);
      asked.onerror = () => failed(asked.error);
    });
    window.kept.transaction('meta', 'readwrite').objectStore('meta').put(JSON.stringify(me), 'me');
  }, me);
  for (let at = 0; at < lines.length; at += BLOCK) {
    await page.evaluate(({ key, text }) => new Promise((then) => {
      const writing = window.kept.transaction('blocks', 'readwrite');
      writing.objectStore('blocks').put(text, key);
      writing.oncomplete = then;
    }), { key: `${JSON.parse(lines[at]).dev}.${String(JSON.parse(lines[at]).seq).padStart(10, '0')}`, text: lines.slice(at, at + BLOCK).join('\n') });
  }
  await page.evaluate(() => window.kept.close());
  await page.reload();
  await keptWhole(page);
}

/** Waits until the folded state stands beside the lines, with all its parts: nothing is written any more. */
async function keptWhole(page) {
  const state = () => page.evaluate(() => new Promise((then, failed) => {
    const asked = indexedDB.open(`candlemark:${location.pathname}barn`);
    asked.onerror = () => failed(asked.error);
    asked.onsuccess = () => {
      const reading = asked.result.transaction('meta').objectStore('meta').get('state');
      reading.onsuccess = () => { asked.result.close(); then(reading.result); };
    };
  }));
  let before;
  for (;;) {
    const now = await state();
    if (now && now === before) return;
    before = now;
    await page.waitForTimeout(1500);
  }
}
