// What a phone downloads once: bytes as built and as a host sends them (Brotli).
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { brotliCompressSync } from 'node:zlib';
import { dist } from '../browser/harness/site.mjs';
import { report } from './report.mjs';

/** Brotli bytes of the first load may be so many. It was 400,000 before treatments, cooling, cleaning and their rows on Rounds; the
 *  order in which the compiler lays functions down alone moves it by 2,000. */
const MOST = 446_000;
const page = await readFile(join(dist, 'index.html'), 'utf8');
const entries = await readdir(dist, { recursive: true, withFileTypes: true });
/** When a file is fetched: before Rounds is shown, or later (all of it is kept for offline use once the page stands). */
function when(file) {
  if (/-(split|chunk)_\w+\.wasm$/.test(file)) return 'a page of its part';
  if (/^scan-worker/.test(file)) return 'the scanner';
  if (/^carry-worker/.test(file)) return 'a bundle';
  if (/^lock-worker/.test(file)) return 'a passphrase';
  if (/^share-worker/.test(file)) return 'devices in step';
  // What the page names, but for what a browser asks for when everything else is there.
  const named = file === 'index.html' || (page.includes(file) && !/\.(png|svg|webmanifest)$|^rescue\./.test(file));
  return named ? 'first load' : 'in the background';
}

const rows = [];
for (const entry of entries.filter((entry) => entry.isFile() && !['_headers', '.htaccess'].includes(entry.name))) {
  const bytes = await readFile(join(entry.parentPath, entry.name));
  // Names without their hash, so that two builds can be compared.
  const file = entry.name.replace(/-[0-9a-f]{16}(?=[._])/, '');
  rows.push({ file, fetched: when(entry.name), bytes: bytes.length, brotli: Math.min(bytes.length, brotliCompressSync(bytes).length) });
}
rows.sort((a, b) => b.brotli - a.brotli);
for (const fetched of [...new Set(rows.map((row) => row.fetched)), 'all']) {
  const of = rows.filter((row) => row.file !== 'sum' && (fetched === 'all' || row.fetched === fetched));
  const sum = (key) => of.reduce((total, row) => total + row[key], 0);
  rows.push({ file: 'sum', fetched, bytes: sum('bytes'), brotli: sum('brotli') });
}
await report('sizes', rows);
const first = rows.find((row) => row.file === 'sum' && row.fetched === 'first load');
if (first.brotli > MOST) throw new Error(`the first load is ${first.brotli} bytes of Brotli, and ${MOST} at most are allowed`);
