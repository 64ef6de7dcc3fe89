// A barn with a past of many entries, as the app's own storage keeps it: drawn up by the examples of `app/book`,
// put into IndexedDB as `app/web/src/store/db.rs` writes it.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFile } from 'node:fs/promises';
import { root } from '../browser/harness/site.mjs';

/** Runs one of the book's examples, which writes a barn into `folder`; built as `profile` is told. */
async function drawnUp(profile, example, args, folder) {
  const all = ['run', '--quiet', '--profile', profile, '-p', 'book', '--example', example, '--', ...args, folder];
  const [code] = await once(spawn('cargo', all, { cwd: root, stdio: ['ignore', 'inherit', 'inherit'] }), 'exit');
  if (code !== 0) throw new Error(`cargo ${all.join(' ')} ended with ${code}`);
  const lines = (await readFile(`${folder}/lines.ndjson`, 'utf8')).trimEnd().split('\n');
  const [snapshot, parts] = await Promise.all(['snapshot', 'parts'].map((name) => readFile(`${folder}/${name}.json`, 'utf8')));
  return { lines, snapshot, parts: JSON.parse(parts) };
}

/** Lines and folded state of a barn with about `entries` entries. */
export const history = (entries) =>
  drawnUp('release', 'history', [String(entries), new Date().toISOString().slice(0, 10)], `${root}target/bench/history-${entries}`);

/** The same of one large season: 500 animals, 300 clutches, 2,400 babies, about 60,000 meals (`examples/season`), by what
 * the unit tests have compiled already. */
export const largeSeason = () => drawnUp('dev', 'season', ['keep'], `${root}target/bench/season`);

/** Makes them the records of the app that `page` shows; it has to be loaded again. */
export async function keep(page, { lines, snapshot, parts }) {
  const BLOCK = 1000;
  const { book, dev } = JSON.parse(lines[0]);
  const me = { book, dev: '0123456789ABCDEF'.slice(0, dev.length), by: 'Ines Harrow', secret: Array(32).fill(7) };
  await page.evaluate(async ({ me, snapshot }) => {
    window.kept = await new Promise((then, failed) => {
      const asked = indexedDB.open(`candlemark:${location.pathname}barn`);
      asked.onsuccess = () => then(asked.result);
      asked.onerror = () => failed(asked.error);
    });
    const meta = window.kept.transaction('meta', 'readwrite').objectStore('meta');
    meta.put(JSON.stringify(me), 'me');
    meta.put(snapshot, 'snapshot');
  }, { me, snapshot });
  for (const [number, text] of parts) {
    await page.evaluate(({ number, text }) => {
      window.kept.transaction('meta', 'readwrite').objectStore('meta').put(text, `part.${number}`);
    }, { number, text });
  }
  for (let at = 0; at < lines.length; at += BLOCK) {
    await page.evaluate(({ key, text }) => new Promise((then) => {
      const writing = window.kept.transaction('blocks', 'readwrite');
      writing.objectStore('blocks').put(text, key);
      writing.oncomplete = then;
    }), { key: `${JSON.parse(lines[at]).dev}.${String(JSON.parse(lines[at]).seq).padStart(10, '0')}`, text: lines.slice(at, at + BLOCK).join('\n') });
  }
  await page.evaluate(() => window.kept.close());
}
