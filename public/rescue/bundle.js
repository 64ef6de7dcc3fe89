// A bundle of what could be read, in the form of format.html.

import { chains, files, isPicture, mostOften, person, sha256, signedHeads } from './chains.js';
import { bytesOf, isId } from './line.js';
import { Zip } from './zip.js';

/** Readers refuse more: 512 MiB a file, 20,000 files in it. Some room is left for the archive's own lists. */
const MOST_BYTES = 500 << 20;
const MOST_FILES = 19_990;

const README = `This is a bundle: the records of a barn, as kept by Candlemark. The rescue page made it out of what lay on a device,
line by line, without the app.

Open it in Candlemark on another device: More, Backup and sharing, Open a bundle. Nothing is changed before you have seen
what it holds.

entries/ holds every entry that could be read, one line of JSON each, in files by device. people/ and photos/ hold details
and pictures that the lines name. The address the app is opened from has a page, format.html, that describes all of it.
`;

/** Local time and offset: 2026-06-09T21:40+02:00. */
export function wallOf(date) {
  const two = (n) => String(n).padStart(2, '0');
  const east = -date.getTimezoneOffset();
  const offset = `${east < 0 ? '-' : '+'}${two(Math.floor(Math.abs(east) / 60))}:${two(Math.abs(east) % 60)}`;
  const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  return `${day}T${two(date.getHours())}:${two(date.getMinutes())}${offset}`;
}

/**
 * What the bundle says about itself. `me` and `exchange` are what `meta` held of this device and of others, if it could be
 * read; `own` names devices that seem to have written here, for when it could not.
 */
export function manifest({ lines, me, exchange, own = [], made, sums }) {
  const books = lines.map((line) => line.book);
  const held = new Set(books);
  const book = held.has(me?.book) ? me.book : mostOften(books);
  const joined = new Set([...held, ...(Array.isArray(exchange?.joined) ? exchange.joined.filter(isId) : [])]);
  joined.delete(book);
  const signed = signedHeads(exchange);
  const devices = [...chains(lines)].map(([dev, { count, head, breaks }]) => [dev, {
    count, ...(head && { head }), ...(signed.has(dev) && { signed: signed.get(dev) }), ...(breaks && { breaks }),
  }]);
  return {
    format: 'candlemark-bundle', version: 2, book, ...(joined.size && { joined: [...joined] }), made,
    by: isId(me?.dev) ? me.dev : mostOften(own) ?? mostOften(lines.map((line) => line.dev)),
    // Not the whole: whoever reads it is not to think that what is missing here was never there.
    app: 'rescue page', whole: false, devices: Object.fromEntries(devices), files: sums,
  };
}

/**
 * Makes the file. `people` are pairs of key and stored text; `pictures` pairs of key and a function that gives a Blob. Gives
 * `file`, a Blob, and `left`: keys of people and pictures that readers would refuse, and so are not in it.
 */
export async function bundle({ lines, people = [], pictures = [], ...about }, told = () => {}) {
  const zip = new Zip();
  const parts = [];
  const sums = {};
  for (const { name, text } of files(lines)) {
    const bytes = bytesOf(text);
    sums[name] = await sha256(bytes);
    parts.push([name, bytes]);
  }
  await zip.add('bundle.json', bytesOf(JSON.stringify(manifest({ lines, sums, ...about }), null, 2)));
  await zip.add('README.txt', bytesOf(README));
  let [count, size] = [2, 0];
  for (const [name, bytes] of parts) {
    await zip.add(name, bytes);
    count += 1;
    size += bytes.length;
  }
  const left = [];
  for (const [key, text] of people) {
    const file = count < MOST_FILES ? await person(key, text) : null;
    if (!file) {
      left.push(key);
      continue;
    }
    await zip.add(`people/${key}.json`, bytesOf(file));
    count += 1;
  }
  for (const [at, [key, picture]] of pictures.entries()) {
    told(at, pictures.length);
    try {
      const kept = await picture();
      const bytes = new Uint8Array(await kept.arrayBuffer());
      const fits = count < MOST_FILES && size + bytes.length < MOST_BYTES && await isPicture(key, bytes);
      if (!fits) throw new Error('readers would refuse it');
      await zip.add(`photos/${key}.jpg`, bytes, { stored: true, kept });
      count += 1;
      size += bytes.length;
    } catch {
      left.push(key);
    }
  }
  return { file: zip.finish(), left };
}
