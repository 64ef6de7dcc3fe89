// Lines of all devices put in order, and what bundle.json says of their chains.

import { bytesOf, isHalved, isHash, readLine, Refused } from './line.js';

/** Lines hashed before the page may draw again. */
const AT_ONCE = 500;
/** The most lines and bytes in one file of a bundle. */
const FILE_LINES = 5000;
const FILE_BYTES = 8 << 20;

/** SHA-256 in 64 hex digits. */
export async function sha256(bytes) {
  const sum = await crypto.subtle.digest('SHA-256', bytes);
  return Array.from(new Uint8Array(sum), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/**
 * Reads texts of lines, each { where, text }; one text may hold many lines. Gives `lines`, each once and in the order of
 * device, number and hash: { text, hash, v, book, dev, seq, prev, wall }; and `unreadable`: { where, text, why }.
 */
export async function gather(texts, told = () => {}) {
  const found = new Map();
  const unreadable = [];
  let batch = [];
  const hashed = async () => {
    const hashes = await Promise.all(batch.map(({ text }) => sha256(bytesOf(text))));
    batch.forEach((line, at) => found.set(hashes[at], { ...line, hash: hashes[at] }));
    batch = [];
    told(found.size);
  };
  for (const { where, text } of texts) {
    for (const [at, piece] of text.split('\n').entries()) {
      const line = piece.endsWith('\r') ? piece.slice(0, -1) : piece;
      if (line === '') continue;
      try {
        batch.push({ text: line, ...readLine(line) });
      } catch (error) {
        const why = error instanceof Refused ? error.message : String(error);
        unreadable.push({ where: `${where}, line ${at + 1}`, text: line, why });
      }
      if (batch.length >= AT_ONCE) await hashed();
    }
  }
  await hashed();
  return { lines: [...found.values()].sort(inOrder), unreadable };
}

const compared = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
const inOrder = (a, b) => compared(a.dev, b.dev) || a.seq - b.seq || compared(a.hash, b.hash);

/**
 * By device, from lines in order: `count` and `head`, number and hash of the last act whose chain is here from its first,
 * of the longest branch; `breaks`, how many lines follow none that is here, beside those of the lowest number; `lines`,
 * how many are here; `waiting`, how many of them have no whole chain; `gaps`, pairs of first and last number not here.
 */
export function chains(lines) {
  const devices = new Map();
  for (const { dev, seq, hash, prev } of lines) {
    if (!devices.has(dev)) {
      devices.set(dev, { count: 0, breaks: 0, lines: 0, waiting: 0, gaps: [], lowest: seq, last: 0, before: new Map(), here: new Map() });
    }
    const chain = devices.get(dev);
    if (seq !== chain.last) {
      if (seq > chain.last + 1) chain.gaps.push([chain.last + 1, seq - 1]);
      chain.before = seq === chain.last + 1 ? chain.here : new Map();
      chain.here = new Map();
      chain.last = seq;
    }
    // Whether each line's own chain is whole goes from line to line.
    const whole = seq === 1 || chain.before.get(prev) === true;
    chain.here.set(hash, whole);
    chain.lines += 1;
    if (seq !== chain.lowest && !chain.before.has(prev)) chain.breaks += 1;
    if (whole) [chain.count, chain.head] = [seq, hash];
    else chain.waiting += 1;
  }
  const told = ({ count, head, breaks, lines: here, waiting, gaps }) => ({ count, head, breaks, lines: here, waiting, gaps });
  return new Map([...devices].map(([dev, chain]) => [dev, told(chain)]));
}

/** Files of lines as a bundle names them, in order: { name, text }. Branches of one number stay in one file. */
export function files(lines) {
  const out = [];
  let open;
  for (const { dev, seq, text } of lines) {
    const full = open && (open.lines >= FILE_LINES || open.bytes + text.length >= FILE_BYTES) && seq !== open.to;
    if (!open || open.dev !== dev || full) {
      open = { dev, from: seq, to: seq, lines: 0, bytes: 0, texts: [] };
      out.push(open);
    }
    open.to = seq;
    open.lines += 1;
    open.bytes += text.length + 1;
    open.texts.push(text, '\n');
  }
  return out.map(({ dev, from, to, texts }) => ({ name: `entries/${dev}.${from}-${to}.ndjson`, text: texts.join('') }));
}

/** The earliest and the latest `wall` of some lines; none where no line holds a date of the calendar. */
export function span(lines) {
  let first;
  let last;
  for (const { wall } of lines) {
    const at = Date.parse(wall);
    if (Number.isNaN(at)) continue;
    if (!first || at < first.at) first = { at, wall };
    if (!last || at > last.at) last = { at, wall };
  }
  return first && { from: first.wall, to: last.wall };
}

/** The entry that stands most often in a list; undefined in an empty one. */
export function mostOften(list) {
  const counts = new Map();
  for (const one of list) counts.set(one, (counts.get(one) ?? 0) + 1);
  let best;
  for (const [one, count] of counts) if (!best || count > best.count) best = { one, count };
  return best?.one;
}

/** The signed heads among what is known of other devices, those of the right shape. */
export function signedHeads(exchange) {
  const sound = ([, signed]) => {
    const { count, head, signature } = signed ?? {};
    return Number.isSafeInteger(count) && count > 0 && count <= 99_999_999 && isHash(head) && /^[0-9a-f]{128}$/.test(signature);
  };
  const pairs = Object.entries(exchange?.signed ?? {}).filter(sound);
  return new Map(pairs.map(([dev, { count, head, signature }]) => [dev, { count, head, signature }]));
}

/** Whether a stored text holds a person's details that belong to their key: gives the file for a bundle, or null. */
export async function person(key, value) {
  try {
    const { salt, content } = JSON.parse(value);
    if (!/^[0-9a-f]{32}$/.test(salt) || typeof content !== 'string' || isHalved(content)) return null;
    const salted = Uint8Array.from(salt.match(/../g), (pair) => parseInt(pair, 16));
    const all = new Uint8Array([...salted, ...bytesOf(content)]);
    const file = JSON.stringify({ salt, content });
    return (await sha256(all)) === key && bytesOf(file).length <= 64 << 10 ? file : null;
  } catch {
    return null;
  }
}

/** Whether bytes are a picture that readers of bundles take: a JPEG of sane size, named by its own hash. */
export async function isPicture(key, bytes) {
  return bytes.length <= 4 << 20 && isJpeg(bytes) && (await sha256(bytes)) === key;
}

function isJpeg(bytes) {
  const number = (at) => bytes[at] * 256 + bytes[at + 1];
  if (number(0) !== 0xffd8) return false;
  for (let at = 2; at + 4 <= bytes.length;) {
    const marker = bytes[at + 1];
    if (bytes[at] !== 0xff) return false;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    const length = number(at + 2);
    if (length < 2 || marker === 0xd9 || marker === 0xda) return false;
    if (marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)) {
      const [height, width] = [number(at + 5), number(at + 7)];
      return at + 9 <= bytes.length && [height, width].every((side) => side >= 1 && side <= 8192);
    }
    at += 2 + length;
  }
  return false;
}
