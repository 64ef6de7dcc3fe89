// Another device's acts, written from public/format.html alone: lines chained by their hashes, one note each. Packed by
// the app's own program for bundles, in a page.
import { createHash, createPrivateKey, createPublicKey } from 'node:crypto';

const BOOK = '0STRANGE';
const DEV = '0STRANGR';
const START = Date.UTC(2026, 5, 1);

export const sha256 = (bytes) => createHash('sha256').update(bytes).digest('hex');

/** A device that writes about one animal; `count` lines, each a note. The same lines each time. */
export function strangersLines(count) {
  const secret = Buffer.alloc(32, 9);
  const der = Buffer.concat([Buffer.from('302e020100300506032b657004220420', 'hex'), secret]);
  const key = createPublicKey(createPrivateKey({ key: der, format: 'der', type: 'pkcs8' })).export({ format: 'der', type: 'spki' }).subarray(-32).toString('hex');
  const lines = [];
  let prev = { key };
  for (let seq = 1; seq <= count; seq += 1) {
    const at = `${(START + seq * 60_000).toString(16).padStart(12, '0')}-0000`;
    const set = seq === 1
      ? { kind: 'animal', id: '0STRANGA', f: { code: 'B07', name: 'Bel' } }
      : { kind: 'note', id: `${DEV}.${seq}.0`, f: { about: 'animal:0STRANGA', when: '2026-06-01', text: `Note ${seq}` } };
    const line = JSON.stringify({
      v: 1, book: BOOK, dev: DEV, seq, ...prev, at, wall: '2026-06-01T08:00+02:00', by: 'Ines', app: '0.1.0',
      act: seq === 1 ? 'AnimalAdded' : 'Noted', sets: [set],
    });
    prev = { prev: sha256(line) };
    lines.push(line);
  }
  return lines;
}

/** Runs in a page: asks the app's program for bundles, and gives what it answers. */
async function asked(message) {
  const worker = new Worker('./carry-worker_loader.js', { type: 'module' });
  try {
    return await new Promise((then, failed) => {
      worker.onerror = () => failed(new Error('the worker ended'));
      worker.onmessage = ({ data }) => {
        if (data.ready) worker.postMessage(message);
        else if (data.done === undefined) then(data);
      };
    });
  } finally {
    worker.terminate();
  }
}

/** The lines as a bundle of who wrote the last of them, with pictures (bytes of JPEGs); made in `page`, which shows the app. */
export async function bundleOf(page, lines, pictures = []) {
  const { book, dev } = JSON.parse(lines.at(-1));
  const ask = { book, by: dev, app: '0.1.0', made: '2026-06-09T21:40+02:00', secret: Array(32).fill(9), readme: 'A stranger made this.' };
  const packed = await page.evaluate(async ({ asked, ask, lines, pictures }) => {
    const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
    const photos = pictures.map(([hash, text]) => [hash, bytes(text)]);
    const answer = await eval(`(${asked})`)({ op: 'make', ask: JSON.stringify(ask), lines, photos });
    if (answer.bad) throw new Error(answer.bad);
    let text = '';
    const file = new Uint8Array(answer.file);
    for (let from = 0; from < file.length; from += 30_000) text += String.fromCharCode(...file.subarray(from, from + 30_000));
    return btoa(text);
  }, { asked: asked.toString(), ask, lines: `${lines.join('\n')}\n`, pictures: pictures.map((picture) => [sha256(picture), picture.toString('base64')]) });
  return Buffer.from(packed, 'base64');
}
