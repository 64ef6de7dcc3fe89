// What a database holds, sorted into lines, what goes beside them, and what could not be read.

import { chains, gather, span } from './chains.js';
import { isHash, isId } from './line.js';
import { nameOf, plain } from './store.js';

const STORES = ['entries', 'blocks', 'aside', 'meta', 'people', 'photos'];

/** What `meta` holds under a key, read as JSON; undefined where it cannot be. */
function told(stores, key) {
  const row = (stores.get('meta') ?? []).find((one) => one.key === key);
  try {
    return JSON.parse(row.value) ?? undefined;
  } catch {
    return undefined;
  }
}

/**
 * Sorts out what `readAll` gave. `aside` takes the lines of bundles set aside too. Gives what a bundle is made of (`lines`,
 * `me`, `exchange`, `own`, `people`, `pictures`) and what is said on the page (`devices`, `span`, `unread`, `absent`, `counts`).
 */
export async function sorted({ stores, unread }, { aside = false } = {}, progress) {
  const texts = [];
  const odd = [...unread];
  const own = [];
  const takeTexts = (store, rows, isOwn) => {
    for (const { key, value } of rows) {
      const where = `${store} ${nameOf(key)}`;
      if (typeof value !== 'string') {
        odd.push({ where, why: 'it holds no text' });
        continue;
      }
      texts.push({ where, text: value });
      const writer = isOwn(nameOf(key)) && /"dev":"(\w{8})"/.exec(value)?.[1];
      if (isId(writer)) own.push(writer);
    }
  };
  const rows = (store) => stores.get(store) ?? [];
  const isImport = ({ key }) => nameOf(key).startsWith('import.');
  // What others wrote is named so: out of a shared store, in rows and blocks, or with a bundle, in blocks.
  const isOwn = (key) => !/^(from|import)\./.test(key);
  takeTexts('entries', rows('entries'), isOwn);
  takeTexts('blocks', rows('blocks'), isOwn);
  if (aside) takeTexts('aside', rows('aside').filter(isImport), () => false);
  const { lines, unreadable } = await gather(texts, progress);
  const me = told(stores, 'me');
  const exchange = told(stores, 'exchange');
  const people = rows('people').filter(({ key, value }) => isHash(key) && typeof value === 'string');
  if (stores.has('meta') && !me) odd.push({ where: 'meta me', why: 'which device this is does not stand there; the bundle goes by what the lines say' });
  return {
    lines, unreadable, me, exchange, own, devices: chains(lines), span: span(lines),
    unread: [...odd, ...unreadable],
    absent: STORES.filter((store) => !stores.has(store)),
    people: people.filter(({ value }) => !isLocked(value)).map(({ key, value }) => [key, value]),
    pictures: rows('photos').map(({ key }) => key).filter(isHash),
    counts: {
      locked: people.filter(({ value }) => isLocked(value)).length,
      imports: rows('aside').filter(isImport).length,
      harmed: rows('aside').length - rows('aside').filter(isImport).length,
    },
  };
}

/** Details of a person that lie locked with a passphrase: a bundle holds none of those. */
const isLocked = (value) => value.startsWith('-----BEGIN AGE ENCRYPTED FILE-----');

/** This device's signing key never leaves it: with it anybody could sign as this device. */
function withoutSecret(value) {
  try {
    const { secret, ...rest } = JSON.parse(value);
    return JSON.stringify({ ...rest, ...(secret !== undefined && { secret: 'left out' }) });
  } catch {
    return { is: 'left out: it could not be read, and may hold the key this device signs with' };
  }
}

/**
 * Everything as it lies, as a Blob of JSON. Left out are the pictures, the key this device signs with and, without `people`,
 * people's details. `unread` says what could not be read.
 */
export function everything({ name, version, stores }, { made, people, unread }) {
  const parts = [];
  const say = (text) => parts.push(`${text}\n`);
  say(`{"what": "what lay in the database of Candlemark on one device, given out by its rescue page",`);
  say(`"made": ${JSON.stringify(made)}, "database": ${JSON.stringify(name)}, "version": ${version},`);
  say('"stores": {');
  for (const [at, [store, rows]] of [...stores].entries()) {
    say(`${at ? ', ' : ''}${JSON.stringify(store)}: [`);
    rows.forEach(({ key, value }, place) => {
      let kept = plain(value);
      if (store === 'photos') kept = { is: 'a picture, left out' };
      if (store === 'people' && !people) kept = { is: 'details of a person, left out' };
      if (store === 'meta' && key === 'people-lock' && !people) kept = { is: "what opens people's details, left out" };
      if (store === 'meta' && key === 'me') kept = withoutSecret(value);
      say(`${place ? ', ' : ''}${JSON.stringify([plain(key), kept])}`);
    });
    say(']');
  }
  say('},');
  say('"unread": [');
  unread.forEach(({ where, why }, at) => say(`${at ? ', ' : ''}${JSON.stringify({ where, why })}`));
  say(']}');
  return new Blob(parts, { type: 'application/json' });
}
