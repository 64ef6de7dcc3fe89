// Whether a text is a line that every reader of bundles takes, by the rules of format.html. One line that is refused makes
// readers refuse the whole bundle, so this is as strict as they are; a test compares the two.

const ID = /^[0-9A-HJKMNP-TV-Z]{8}$/;
const HASH = /^[0-9a-f]{64}$/;
const STAMP = /^[0-9a-f]{12}-[0-9a-f]{4}$/;
const WALL = /^\d{4}-\d\d-\d\dT\d\d:\d\d[+-]\d\d:\d\d$/;
const NAME = /^\w{1,64}$/;
const RECORD = /^[\w.:-]{1,64}$/;
const SHORT = /^[0-9A-HJKMNP-TV-Z]{8}\.[1-9]\d{0,7}\.[0-9a-f]{8}$/;
const WHOLE = /^[0-9A-HJKMNP-TV-Z]{8}\.[1-9]\d{0,7}\.[0-9a-f]{64}$/;

const MAX_LINE = 1024 * 1024;
const MAX_DEPTH = 16;
const LEAST = -(2n ** 63n);
const MOST = 2n ** 64n - 1n;

/** Why a text is no line. */
export class Refused extends Error {}

const wrong = (part) => new Refused(`its part “${part}” is not as it should be`);

export const isId = (text) => typeof text === 'string' && ID.test(text);
export const isHash = (text) => typeof text === 'string' && HASH.test(text);
/** Half of a letter that takes two: no file of UTF-8 can hold it. */
export const isHalved = (text) => /\p{Surrogate}/u.test(text);

/** Bytes of a text in UTF-8. */
export const bytesOf = (text) => new TextEncoder().encode(text);

/**
 * What a line says of its place in a chain: { v, book, dev, seq, prev, wall }.
 * Throws Refused, in words that follow on “a line could not be read:”.
 */
export function readLine(text) {
  if (text.length * 3 > MAX_LINE && bytesOf(text).length > MAX_LINE) throw new Refused('it is too long');
  const parts = readObject(text);
  const { v, book, dev, seq, prev, key, at, wall, by, app, act, sets, undoes, continues, crit } = parts;
  const has = (part) => holds(parts, part);
  if (!Number.isSafeInteger(v) || v < 1) throw wrong('v');
  if (v > 2) throw new Refused(`it is of form ${v}, of a newer version`);
  const reference = v === 1 ? SHORT : WHOLE;
  if (!Number.isSafeInteger(seq) || seq < 1 || seq > 99_999_999) throw wrong('seq');
  const first = seq === 1;
  if (!isId(book)) throw wrong('book');
  if (!isId(dev)) throw wrong('dev');
  if (first ? has('prev') : !isHash(prev)) throw wrong('prev');
  if (first ? !isHash(key) : has('key')) throw wrong('key');
  if (!fits(at, STAMP)) throw wrong('at');
  if (!fits(wall, WALL)) throw wrong('wall');
  if (!isLabel(by)) throw wrong('by');
  if (!isLabel(app)) throw wrong('app');
  if (!fits(act, NAME)) throw wrong('act');
  if (has('undoes') && !fits(undoes, reference)) throw wrong('undoes');
  if (has('continues') && !(first && fits(continues, reference))) throw wrong('continues');
  if (has('crit') && !(isList(crit, 16) && crit.every((name) => fits(name, NAME)))) throw wrong('crit');
  checkSets(sets, reference);
  return { v, book, dev, seq, prev, wall };
}

// Object.hasOwn, for browsers older than that: whoever needs this page may have one.
const holds = (object, name) => Object.prototype.hasOwnProperty.call(object, name);
const fits = (value, shape) => typeof value === 'string' && shape.test(value);
const isList = (value, most) => Array.isArray(value) && value.length <= most;
const isObject = (value) => typeof value === 'object' && value !== null && !Array.isArray(value);
const isLabel = (value) => typeof value === 'string' && value !== '' && bytesOf(value).length <= 64 && !/\p{Cc}/u.test(value);

function checkSets(sets, reference) {
  if (!isList(sets, 2048)) throw wrong('sets');
  const seen = new Set();
  for (const set of sets) {
    if (!isObject(set)) throw wrong('sets');
    if (!fits(set.kind, NAME)) throw wrong('kind');
    if (!fits(set.id, RECORD)) throw wrong('id');
    const record = `${set.kind} ${set.id}`;
    if (seen.has(record)) throw wrong('sets');
    seen.add(record);
    if (!isObject(set.f)) throw wrong('f');
    const fields = Object.keys(set.f);
    if (fields.length > 256 || !fields.every((field) => fits(field, NAME))) throw wrong('f');
    if (!holds(set, 'over')) continue;
    if (!isObject(set.over)) throw wrong('over');
    for (const [field, references] of Object.entries(set.over)) {
      const sound = holds(set.f, field) && isList(references, 256) && references.every((one) => fits(one, reference));
      if (!sound) throw wrong('over');
    }
  }
}

// A text, a number, or one character. Only used on what JSON.parse has read already.
const PIECE = /"[^"\\]*(?:\\.[^"\\]*)*"|[-\d][^\s,\]}]*|[{}[\],:]|true|false|null|\s+/gy;

/** A JSON object, read strictly: no name twice in one object, whole numbers of 64 bits only, not nested too deep. */
function readObject(text) {
  let value;
  try {
    value = JSON.parse(text);
  } catch {
    throw new Refused('it is no JSON');
  }
  if (!isObject(value)) throw new Refused('it is no JSON object');
  if (isHalved(text)) throw new Refused('it holds half a letter');
  const open = [];
  let last = '';
  for (const [piece] of text.matchAll(PIECE)) {
    if (/^\s/.test(piece)) continue;
    if (piece === '{' || piece === '[') {
      if (open.push(piece === '{' ? new Set() : null) > MAX_DEPTH) throw new Refused('it nests too deep');
    } else if (piece === '}' || piece === ']') {
      open.pop();
    } else if (piece.startsWith('"')) {
      const names = open[open.length - 1];
      const isName = names && (last === '{' || last === ',');
      if (isName || piece.includes('\\u')) checkText(JSON.parse(piece), isName ? names : undefined);
    } else if (/^[-\d]/.test(piece)) {
      checkNumber(piece);
    }
    last = piece;
  }
  return value;
}

function checkText(text, names) {
  if (isHalved(text)) throw new Refused('it holds half a letter');
  if (names?.has(text)) throw new Refused('a name stands twice in it');
  names?.add(text);
}

function checkNumber(piece) {
  const whole = /^-?\d+$/.test(piece) && piece !== '-0' && BigInt(piece) >= LEAST && BigInt(piece) <= MOST;
  if (!whole) throw new Refused('it holds a number that is not whole');
}
