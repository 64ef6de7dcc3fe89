// A big barn (500 adults, 300 clutches, 2,400 babies, 58,000 meals) on this machine as it is, nothing slowed: from a tap to
// the first frame that shows the new page, how long it then stands still at most, and to its last change; from a key to the
// result; memory; 2,000 labels. The goals are printed beside: they are told as numbers, never as a test.
import { drawn, kept, seat, visit } from '../browser/harness/browser.mjs';
import { site } from '../browser/harness/site.mjs';
import { keep, largeSeason } from './history.mjs';
import { median, report } from './report.mjs';

const PAGES = ['/', '/boxes', '/animals', '/babies', '/breeders', '/pairings', '/sale', '/places', '/where', '/where/sheet', '/season',
  '/season/weeks', '/season/needs', '/season/back', '/season/report', '/season/book', '/ahead', '/daybook', '/labels', '/wishes', '/pull',
  '/bundles'];
/** Pages of one record: the first of a list's. */
const OF_ONE = { '/boxes': /^#\/box\/[^/]+$/, '/animals': /^#\/animal\/[^/]+$/, '/babies': /^#\/animal\/[^/]+$/, '/places': /^#\/place\/[^/]+$/ };
const TIMES = 3;

/** In the page: goes to `hash`; milliseconds to the first frame that is painted with its heading, to the last change before half a
 *  second of rest, and how long the page stood still at most after that first frame. */
async function go(hash) {
  const main = document.querySelector('main');
  const [old, said] = [main.querySelector('h1'), main.querySelector('h1')?.textContent];
  // A heading may be the same element with other words.
  const isNew = () => { const now = main.querySelector('h1'); return now && (now !== old || now.textContent !== said); };
  let changed = 0;
  const watching = new MutationObserver(() => { changed = performance.now(); });
  watching.observe(main, { childList: true, subtree: true, characterData: true });
  const stood = [];
  const long = new PerformanceObserver((list) => stood.push(...list.getEntries()));
  long.observe({ type: 'longtask' });
  const start = performance.now();
  // What stands when a frame is asked for is in it, and a message comes once it is painted; this asks before the page does, so the
  // page's own work after the frame is not counted with it.
  const painted = new Promise((then, fail) => {
    const look = () => {
      if (performance.now() - start > 20_000) return fail(new Error(`${hash} shows no heading of its own`));
      if (!isNew()) return requestAnimationFrame(look);
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => then(performance.now());
      port2.postMessage('');
    };
    requestAnimationFrame(look);
  });
  location.hash = hash;
  const at = await painted;
  while (performance.now() - Math.max(changed, start) < 500) await new Promise((then) => setTimeout(then, 50));
  watching.disconnect();
  stood.push(...long.takeRecords());
  long.disconnect();
  const after = stood.filter(({ startTime }) => startTime >= at - 5).map(({ duration }) => duration);
  return { first: at - start, all: Math.max(changed, at) - start, still: Math.max(0, ...after) };
}

/** In the page: types into its search field, letter by letter; milliseconds to the frame after each. */
async function type(text) {
  const field = document.querySelector('main input[type=search]');
  const times = [];
  for (let n = 1; n <= text.length; n += 1) {
    field.value = text.slice(0, n);
    const start = performance.now();
    field.dispatchEvent(new Event('input', { bubbles: true }));
    await new Promise((then) => requestAnimationFrame(() => setTimeout(then)));
    times.push(performance.now() - start);
    await new Promise((then) => setTimeout(then, 300));
  }
  return times;
}

const round = (ms) => Math.round(ms);
const app = await site();
const { context, page, close } = await seat({ own: true, kind: 'desktop' });
const megabytes = () => page.evaluate(() => Math.round(window.memories.reduce((sum, one) => sum + one.buffer.byteLength, 0) / 1e6));
try {
  context.setDefaultTimeout(300_000);
  await context.addInitScript(() => {
    window.memories = [];
    const { instantiate, instantiateStreaming } = WebAssembly;
    const noted = (made) => { for (const one of Object.values((made.instance ?? made).exports)) if (one instanceof WebAssembly.Memory && !window.memories.includes(one)) window.memories.push(one); return made; };
    WebAssembly.instantiate = (...given) => instantiate(...given).then(noted);
    WebAssembly.instantiateStreaming = (...given) => instantiateStreaming(...given).then(noted);
  });
  await visit(page, app.url);
  await kept(page);
  await keep(page, await largeSeason());
  await page.reload();
  await drawn(page);
  const of = [];
  for (const [list, one] of Object.entries(OF_ONE)) {
    await page.evaluate(go, `#${list}`);
    const links = await page.locator('main a[href^="#/"]').evaluateAll((all) => all.map((a) => a.hash));
    const found = links.find((hash) => one.test(hash));
    if (found) of.push([`one of ${list}`, found]);
  }
  const all = [...PAGES.map((hash) => [hash, `#${hash}`]), ...of];
  const rows = [];
  for (const [name, hash] of all) {
    const times = [];
    for (let n = 0; n < TIMES; n += 1) {
      await page.evaluate(go, '#/settings');
      times.push(await page.evaluate(go, hash));
    }
    const ms = (what) => round(median(times.map((one) => one[what])));
    rows.push({ page: name, first_ms: ms('first'), still_ms: ms('still'), all_ms: ms('all') });
  }
  rows.sort((a, b) => b.first_ms - a.first_ms);
  await report('big-pages', rows);
  const firsts = rows.map((row) => row.first_ms).sort((a, b) => a - b);
  await page.evaluate(go, '#/animals');
  const keys = await page.evaluate(type, '26-0031');
  const memory_mb = await megabytes();
  await page.evaluate(go, '#/boxes');
  const box = await page.locator('main a[href^="#/box/"]').first().evaluate((a) => a.hash.split('/')[2]);
  await visit(page, app.url, `#/labels/${Array(2000).fill(`filling:${box}`).join(',')}`);
  const download = page.waitForEvent('download');
  const start = Date.now();
  await page.getByRole('button', { name: 'PDF', exact: true }).click();
  await download;
  const labels_s = (Date.now() - start) / 1000;
  await report('big', [
    { what: 'page switch, median ms', was: firsts[firsts.length >> 1], goal: '' },
    { what: 'page switch, slowest ms', was: firsts.at(-1), goal: 100 },
    { what: 'key to result, slowest ms', was: round(Math.max(...keys)), goal: 50 },
    { what: 'wasm memory, MB', was: memory_mb, goal: 80 },
    { what: '2,000 labels, s', was: labels_s, goal: 8 },
  ]);
} finally {
  await close();
  await app.stop();
}
