// Bundles at size: 100,000 acts taken in, bytes an act, and the same records held by automerge in the same browser:
// the file, opening it, and bringing in a file of which nine tenths are known. Times are told as ratios, in turns.
//
// What is compared is the job, not the parts: ours is unpacked, its hashes, chains and signatures checked and both
// states folded, by the program the app ships; automerge's is `load`, or `load` and `merge`.
import { readFile } from 'node:fs/promises';
import { root, site } from '../browser/harness/site.mjs';
import { seat, visit } from '../browser/harness/browser.mjs';
import { bundleOf } from '../browser/harness/stranger.mjs';
import { history } from './history.mjs';
import { median, report } from './report.mjs';

const MANY = 100_000;
const SAME = 3_000;
const KNOWN = 0.9;
const TIMES = 5;

/** Runs in the page for bundles: reads a file and takes it in, as a keeper would. Milliseconds of both. */
async function takeIn(text) {
  const soon = () => new Promise((then) => setTimeout(then, 4));
  const named = (name) => [...document.querySelectorAll('button')].find((one) => one.textContent === name);
  const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const input = document.querySelector('input[type=file][aria-label="Open a bundle"]');
  const files = new DataTransfer();
  files.items.add(new File([bytes], 'barn.zip'));
  input.files = files.files;
  const begun = performance.now();
  input.dispatchEvent(new Event('change', { bubbles: true }));
  while (!named('Take it in')) {
    const bad = document.querySelector('[role=alert]');
    if (bad) throw new Error(bad.textContent);
    await soon();
  }
  const read = performance.now();
  named('Take it in').click();
  while (named('Take it in')) await soon();
  return { read: read - begun, taken: performance.now() - read };
}

/** Runs in a page: the lines as one automerge document, a change an act; saved whole, and as it was at `known` acts. */
function build({ lines, known }) {
  const { Automerge } = window;
  let doc = Automerge.init();
  let early;
  const begun = performance.now();
  lines.forEach((line, at) => {
    if (at === known) early = Automerge.save(doc);
    const { sets } = JSON.parse(line);
    doc = Automerge.change(doc, (draft) => {
      for (const { kind, id, f } of sets) {
        draft[kind] ??= {};
        draft[kind][id] ??= {};
        for (const [field, value] of Object.entries(f)) draft[kind][id][field] = value;
      }
    });
  });
  const ms = performance.now() - begun;
  window.file = Automerge.save(doc);
  window.early = early;
  return { ms, bytes: window.file.length };
}

/** Runs in that page: milliseconds to open the file, and to bring it into what is known. */
function theirs() {
  const { Automerge } = window;
  const timed = (work) => {
    const begun = performance.now();
    work();
    return performance.now() - begun;
  };
  const load = timed(() => Automerge.load(window.file));
  const mine = Automerge.load(window.early);
  const merge = timed(() => Automerge.merge(mine, Automerge.load(window.file)));
  return { load, merge };
}

/** Runs in the app's page: the same by the app's own program, from the message to its answer. */
async function ours({ file, known, book }) {
  const bytes = Uint8Array.from(atob(file), (c) => c.charCodeAt(0)).buffer;
  const look = (ask, lines) => new Promise((then, failed) => {
    const worker = new Worker('./carry-worker_loader.js', { type: 'module' });
    let begun;
    worker.onmessage = ({ data }) => {
      if (data.ready) {
        begun = performance.now();
        worker.postMessage({ op: 'look', ask: JSON.stringify({ wall_ms: Date.now(), ...ask }), lines, file: bytes });
      } else if (data.done === undefined) {
        worker.terminate();
        if (data.bad) failed(new Error(data.bad));
        else then(performance.now() - begun);
      }
    };
  });
  return { load: await look({ book: null }, ''), merge: await look({ book }, known) };
}

const app = await site();
try {
  const many = (await history(MANY)).lines;
  const phone = await seat({ own: true });
  await visit(phone.page, app.url, '#/bundles');
  const bundle = await bundleOf(phone.page, many);
  const { read, taken } = await phone.page.evaluate(takeIn, bundle.toString('base64'));
  await phone.close();
  const bytes = many.reduce((sum, line) => sum + line.length + 1, 0);
  await report('bundle', [{
    acts: many.length, line_bytes_an_act: Math.round(bytes / many.length), bundle_bytes_an_act: Number((bundle.length / many.length).toFixed(1)),
    read_ms: Math.round(read), taken_in_ms: Math.round(taken),
  }]);

  const { lines } = await history(SAME);
  const known = Math.floor(lines.length * KNOWN);
  const { context, page, close } = await seat({ own: true, bypassCSP: true });
  await visit(page, app.url);
  const file = await bundleOf(page, lines);
  const other = await context.newPage();
  await other.goto(`${app.url}format.html`);
  await other.addScriptTag({ content: await readFile(`${root}tests/browser/node_modules/@automerge/automerge/dist/iife/iife.js`, 'utf8') });
  const built = await other.evaluate(build, { lines, known });
  const times = { ours: [], theirs: [] };
  for (let time = 0; time < TIMES; time += 1) {
    times.ours.push(await page.evaluate(ours, { file: file.toString('base64'), known: `${lines.slice(0, known).join('\n')}\n`, book: JSON.parse(lines[0]).book }));
    times.theirs.push(await other.evaluate(theirs));
  }
  await close();
  const rows = ['load', 'merge'].map((what) => {
    const [own, automerge] = [median(times.ours.map((one) => one[what])), median(times.theirs.map((one) => one[what]))];
    return { what, acts: lines.length, ours: Math.round(own), automerge: Math.round(automerge), ratio: Number((own / automerge).toFixed(2)) };
  });
  rows.push({ what: 'bytes', acts: lines.length, ours: file.length, automerge: built.bytes, ratio: Number((file.length / built.bytes).toFixed(2)) });
  await report('automerge', rows);
} finally {
  await app.stop();
}
