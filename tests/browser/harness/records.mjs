// The records under the app's own eyes: what its database holds, read past the app.
import assert from 'node:assert/strict';
import { sha256 } from './stranger.mjs';

/** The whole content of the keeper's database: lines, the bundles taken in, and the hashes of pictures. */
export async function stored(page) {
  const held = await page.evaluate(async () => {
    const done = (request) => new Promise((then, failed) => {
      request.onsuccess = () => then(request.result);
      request.onerror = () => failed(request.error);
    });
    const db = await done(indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`));
    const reading = db.transaction(['entries', 'blocks', 'meta', 'photos']);
    const all = (store) => done(reading.objectStore(store).getAll());
    const [rows, blocks, names, exchange, photos] = await Promise.all([
      all('entries'), all('blocks'), done(reading.objectStore('blocks').getAllKeys()),
      done(reading.objectStore('meta').get('exchange')), done(reading.objectStore('photos').getAllKeys()),
    ]);
    db.close();
    return { rows, blocks, names, exchange, photos };
  });
  const lines = [...held.blocks.flatMap((block) => block.split('\n')), ...held.rows];
  const imported = (n) => held.blocks.filter((_, i) => held.names[i].startsWith(`import.${String(n).padStart(8, '0')}.`)).flatMap((block) => block.split('\n'));
  return { lines, imports: JSON.parse(held.exchange ?? '{}').imports ?? [], imported, names: held.names, photos: held.photos };
}

/** All details of people that the keeper's database holds, as one text. */
export const details = (page) => page.evaluate(async () => {
  const done = (request) => new Promise((then, failed) => {
    request.onsuccess = () => then(request.result);
    request.onerror = () => failed(request.error);
  });
  const db = await done(indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`));
  const all = await done(db.transaction('people').objectStore('people').getAll());
  db.close();
  return JSON.stringify(all);
});

/** Fails unless each device's lines are one unbroken chain from its first act. */
export function unbroken(lines) {
  const chains = new Map();
  for (const line of lines) {
    const entry = JSON.parse(line);
    const chain = chains.get(entry.dev) ?? [];
    assert.equal(chain[entry.seq - 1], undefined, `act ${entry.seq} of ${entry.dev} is there twice`);
    chain[entry.seq - 1] = { line, prev: entry.prev };
    chains.set(entry.dev, chain);
  }
  for (const [dev, chain] of chains) {
    for (let at = 0; at < chain.length; at += 1) {
      assert.ok(chain[at], `act ${at + 1} of ${dev} is missing`);
      assert.equal(chain[at].prev, at === 0 ? undefined : sha256(chain[at - 1].line), `act ${at + 1} of ${dev} follows the one before`);
    }
  }
}

/**
 * Takes readings `from` to `to` on a shelf's page (open in `page`) as fast as the page saves them: number n is 26 °C
 * and n hundredths. `said(n)` is called at the message that says it is saved.
 */
export async function readings(page, from, to, said) {
  await page.exposeBinding('readingSaid', (_, n) => said(n)).catch(() => { /* a page may be used again */ });
  await page.evaluate(async ({ from, to }) => {
    const frame = () => new Promise((then) => setTimeout(then));
    const field = document.querySelector('form.reading input');
    for (let n = from; n <= to; n += 1) {
      field.value = (26 + n / 100).toFixed(2);
      field.dispatchEvent(new Event('input', { bubbles: true }));
      field.form.requestSubmit();
      const toast = () => document.querySelector('.toast')?.textContent ?? '';
      while (field.value !== '' || !toast().includes('Reading saved.')) {
        if (toast().startsWith('Not saved')) throw new Error(toast());
        await frame();
      }
      await window.readingSaid(n);
    }
  }, { from, to });
}

/** The numbers of the readings that are stored. */
export const taken = (lines) => new Set(lines.map((line) => JSON.parse(line)).flatMap(({ sets }) => sets)
  .filter(({ kind, f }) => kind === 'reading' && f.cc).map(({ f }) => f.cc - 2600));
