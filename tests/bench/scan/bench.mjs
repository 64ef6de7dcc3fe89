// The shipped label reader and zxing-wasm side by side in one browser: `cargo xtask scan-bench DIR`. DIR holds
// frames.bin (1280 × 720 grey frames, one after another) and corpus.json (for each its category `cat` and `text`, null
// where there is no code). Ends with one line of totals.
import { createServer } from 'node:http';
import { open, readFile } from 'node:fs/promises';
import { join, normalize } from 'node:path';
import { brotliCompressSync } from 'node:zlib';
import { seat } from '../../browser/harness/browser.mjs';
import { dist, root } from '../../browser/harness/site.mjs';
import { median, report } from '../report.mjs';
import { FRAMES, approach } from './approach.mjs';

const FRAME = 1280 * 720;
/** Times each frame is read by each reader; the least time counts, since the machine does other things too. */
const TIMES = 3;
const FILMS = 30;

const dir = process.argv[2];
if (!dir) throw new Error('say which folder holds frames.bin and corpus.json');
const corpus = JSON.parse(await readFile(join(dir, 'corpus.json'), 'utf8'));
const frames = await open(join(dir, 'frames.bin'));
const films = [];

const FOLDERS = { app: dist, bench: new URL('.', import.meta.url).pathname, zxing: `${root}tests/browser/node_modules/zxing-wasm/dist` };
const KINDS = { html: 'text/html', js: 'text/javascript', wasm: 'application/wasm' };

async function answer(path) {
  const [, folder, ...rest] = path.split('/');
  if (folder === 'frame') {
    const { buffer } = await frames.read(Buffer.alloc(FRAME), 0, FRAME, Number(rest[0]) * FRAME);
    return ['application/octet-stream', buffer];
  }
  if (folder === 'film') return ['application/octet-stream', films[rest[0]].frame(Number(rest[1]))];
  const file = normalize(rest.join('/'));
  if (!FOLDERS[folder] || file.startsWith('..')) throw new Error(`no ${path}`);
  return [KINDS[file.split('.').pop()] ?? 'text/plain', await readFile(join(FOLDERS[folder], file))];
}

const server = createServer((request, response) => answer(decodeURI(new URL(request.url, 'http://localhost').pathname)).then(
  ([kind, body]) => response.writeHead(200, { 'Content-Type': kind }).end(body),
  () => response.writeHead(404).end(),
));
await new Promise((then) => server.listen(0, '127.0.0.1', then));
const brotli = async (path) => brotliCompressSync(await readFile(path)).length;
const part = (numbers, share) => [...numbers].sort((a, b) => a - b)[Math.round((numbers.length - 1) * share)] ?? NaN;

const browser = await seat({ own: true, kind: 'desktop' });
try {
  const { page } = browser;
  await page.goto(`http://localhost:${server.address().port}/bench/index.html`);
  await page.evaluate(() => window.ready);

  const seen = [];
  for (const [i, { cat, text }] of corpus.entries()) {
    seen.push({ cat, text, ...await page.evaluate(([at, times]) => window.still(at, times), [`/frame/${i}`, TIMES]) });
  }
  const misread = (name) => seen.filter((s) => s[name].text !== null && s[name].text !== s.text).length;
  const row = (what, some) => {
    const coded = some.filter((s) => s.text !== null);
    const share = (name) => (coded.length ? Number(((100 * coded.filter((s) => s[name].text === s.text).length) / coded.length).toFixed(1)) : NaN);
    const ms = (name, at) => Number(part(some.map((s) => s[name].ms), at).toFixed(1));
    return {
      what, frames: some.length, ours: share('ours'), zxing: share('zxing'),
      ours_med_ms: ms('ours', 0.5), zxing_med_ms: ms('zxing', 0.5), ours_p95_ms: ms('ours', 0.95), zxing_p95_ms: ms('zxing', 0.95),
    };
  };
  const kinds = [...new Set(corpus.map(({ cat }) => cat))];
  const all = row('all', seen);
  await report('scan', [...kinds.map((kind) => row(kind, seen.filter(({ cat }) => cat === kind))), all]);
  console.log(`misread: ours ${misread('ours')}, zxing ${misread('zxing')}`);

  const first = { ours: [], zxing: [] };
  let wrong = 0;
  for (let k = 0; k < FILMS; k += 1) {
    films[k] = await approach(k);
    const addresses = Array.from({ length: FRAMES }, (_, i) => `/film/${k}/${i}`);
    const texts = await page.evaluate((all) => window.film(all), addresses);
    for (const name of ['ours', 'zxing']) {
      const at = texts[name].findIndex(Boolean);
      if (at >= 0 && texts[name][at] !== films[k].text) wrong += name === 'ours' ? 1 : 0;
      first[name].push(at < 0 ? Infinity : at + 1);
    }
    films[k] = undefined;
  }
  const never = (name) => first[name].filter((at) => at === Infinity).length;
  const frameOf = (name) => { const at = median(first[name]); return at === Infinity ? 'none' : at; };
  console.log(`approach, ${FILMS} films of ${FRAMES} frames: median frame of the first read ours ${frameOf('ours')}, zxing ${frameOf('zxing')}; `
    + `never read ours ${never('ours')}, zxing ${never('zxing')}; misread by ours ${wrong}`);

  const trapped = await page.evaluate(() => window.trapped());
  console.log(`traps: ours ${trapped.ours}, zxing ${trapped.zxing}`);
  const size = {
    ours: await brotli(join(dist, 'scan-worker_bg.wasm')),
    zxing: await brotli(join(FOLDERS.zxing, 'reader/zxing_reader.wasm')),
  };
  const kb = (bytes) => (bytes / 1000).toFixed(1);
  console.log(`ours=${all.ours}% zxing=${all.zxing}% med_ms=${all.ours_med_ms}/${all.zxing_med_ms} brotli_kb=${kb(size.ours)}/${kb(size.zxing)}`);
  if (misread('ours') + wrong + trapped.ours > 0) process.exitCode = 1;
} finally {
  await browser.close();
  server.close();
  await frames.close();
}
