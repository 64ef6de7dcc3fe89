// A cold start without a network, from opening the page to Rounds ready for a tap: the browser started anew, the
// server stopped, the processor slowed four times, records of 1,000 to 100,000 entries. Told as a ratio to an
// empty Leptos page that the same browser opens just before, and with what was read from IndexedDB. Apart from that: when there
// was something to read, which is what Rounds showed last.
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { kept, seat, visit } from '../browser/harness/browser.mjs';
import { site } from '../browser/harness/site.mjs';
import { history, keep } from './history.mjs';
import { median, report } from './report.mjs';

const TIMES = 11;
const SIZES = [1_000, 10_000, 100_000];
const empty = process.env.CANDLEMARK_EMPTY;
if (!empty) throw new Error('run this by `cargo xtask bench`, which builds the empty page it is told against');

/** In the page: when it could first answer a tap, and what it had read from IndexedDB by then. */
function watch() {
  const read = { rows: 0, bytes: 0 };
  const count = (value) => {
    if (typeof value !== 'string') return;
    read.rows += 1;
    read.bytes += value.length;
  };
  for (const how of ['get', 'getAll']) {
    const ask = IDBObjectStore.prototype[how];
    IDBObjectStore.prototype[how] = function asked(...what) {
      const request = ask.apply(this, what);
      request.addEventListener('success', () => [request.result].flat().forEach(count));
      return request;
    };
  }
  let readable;
  window.ready = new Promise((then) => {
    const look = () => {
      if (!readable && document.querySelector('#start[data-first] .row, #page .row, main > h1')) requestAnimationFrame(() => setTimeout(() => { readable ??= performance.now(); }));
      if (!document.body || document.getElementById('start') || !document.querySelector('.row, main > h1')) return;
      watching.disconnect();
      // After the frame that shows it, when the page listens again.
      requestAnimationFrame(() => setTimeout(() => then({ ms: performance.now(), readable, ...read })));
    };
    const watching = new MutationObserver(look);
    watching.observe(document, { childList: true, subtree: true });
  });
}

async function opened(context, url) {
  const page = await context.newPage();
  const tool = await context.newCDPSession(page);
  await tool.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  await page.goto(url);
  const ready = await page.evaluate(() => window.ready);
  await page.close();
  return ready;
}

const app = await site();
const nothing = await site({ dir: empty });
const rows = [];
await app.stop();
try {
  for (const entries of SIZES) {
    const profile = await mkdtemp(join(tmpdir(), 'candlemark-bench-'));
    const past = await history(entries);
    await app.start();
    const first = await seat({ profile });
    await visit(first.page, app.url);
    await kept(first.page);
    await keep(first.page, past);
    // Rounds is seen once, and left.
    await visit(first.page, `${app.url}?again`);
    await first.page.locator('#page .row').first().waitFor();
    await first.page.goto('about:blank');
    await first.close();
    await app.stop();
    const times = { app: [], readable: [], empty: [] };
    let read;
    for (let time = 0; time < TIMES; time += 1) {
      const { context, close } = await seat({ profile });
      await context.addInitScript(watch);
      times.empty.push((await opened(context, nothing.url)).ms);
      const ready = await opened(context, app.url);
      times.app.push(ready.ms);
      times.readable.push(ready.readable);
      read = ready;
      await close();
    }
    await rm(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
    const [ours, theirs] = [median(times.app), median(times.empty)];
    // Each start beside the empty page just before it: a machine's slower minutes weigh on both.
    const beside = (all) => Number(median(all.map((ms, time) => ms / times.empty[time])).toFixed(2));
    rows.push({ entries: past.lines.length, times: TIMES, readable_ms: Math.round(median(times.readable)), app_ms: Math.round(ours), empty_ms: Math.round(theirs), readable: beside(times.readable), ratio: beside(times.app), rows_read: read.rows, kB_read: Math.round(read.bytes / 1000) });
  }
  await report('start', rows);
} finally {
  await app.stop();
  await nothing.stop();
}
