// Reads what lies in IndexedDB, piece by piece, and says what could not be read. It never makes, changes or removes
// anything, and lets go at once when the app wants a database.

/** Long enough for a slow phone; a database that does not answer by then is held by another page. */
const PATIENCE_MS = 20_000;

/** Names of this folder's databases, as the app gives them: the keeper's own records and the invented season. */
export function names(path = location.pathname) {
  const folder = path.slice(0, path.lastIndexOf('/') + 1);
  return { barn: `candlemark:${folder}barn`, demo: `candlemark:${folder}demo` };
}

const said = (error) => (error?.name && error?.message ? `${error.name}: ${error.message}` : String(error));

/** The answer of a request. A failed one does not end its transaction. */
function done(request) {
  return new Promise((then, failed) => {
    request.onsuccess = () => then(request.result);
    request.onerror = (event) => {
      event.preventDefault();
      event.stopPropagation();
      failed(request.error);
    };
  });
}

/** Whether there is such a database, as far as the browser tells; undefined where it does not. */
async function listed(name) {
  try {
    const all = await indexedDB.databases();
    return all.some((one) => one.name === name);
  } catch {
    return undefined;
  }
}

/** Opens a database that is there, at the version it has; null where there is none. */
async function open(name) {
  if (await listed(name) === false) return null;
  return new Promise((then, failed) => {
    const request = indexedDB.open(name);
    let late = false;
    const timer = setTimeout(() => {
      late = true;
      failed(new Error('it does not answer; close the other tabs of Candlemark and load this page again'));
    }, PATIENCE_MS);
    let absent = false;
    request.onupgradeneeded = () => {
      // There was none, and this would be a new one: it is not to stay.
      absent = true;
      request.transaction.abort();
    };
    request.onsuccess = () => {
      clearTimeout(timer);
      const db = request.result;
      db.onversionchange = () => {
        wanted.add(db);
        db.close();
      };
      if (late) db.close();
      else then(db);
    };
    request.onerror = (event) => {
      event.preventDefault();
      clearTimeout(timer);
      if (absent) then(null);
      else failed(request.error);
    };
  });
}

/** Databases let go of, since another page wanted to change or remove them. */
const wanted = new WeakSet();

/** Runs `act` with an open database, and closes it; null where there is none. */
async function within(name, act) {
  const db = await open(name);
  if (!db) return null;
  try {
    return await act(db);
  } finally {
    db.close();
    if (wanted.has(db)) throw new Error('the app in another tab wanted the records meanwhile; load this page again');
  }
}

/** One store, read key by key; after a failed question the next one asks in a transaction of its own. */
class Reader {
  #db;
  #store;
  #transaction;

  constructor(db, store) {
    this.#db = db;
    this.#store = store;
  }

  async #ask(question) {
    try {
      this.#transaction ??= this.#db.transaction(this.#store, 'readonly');
      return await question(this.#transaction.objectStore(this.#store));
    } catch (error) {
      this.#transaction = undefined;
      throw error;
    }
  }

  async value(key) {
    const get = (store) => done(store.get(key));
    const kept = this.#transaction !== undefined;
    try {
      return await this.#ask(get);
    } catch (error) {
      if (!kept) throw error;
      return this.#ask(get);
    }
  }

  /** All keys, or those that can be reached from either end. */
  async keys() {
    try {
      return { keys: await this.#ask((store) => done(store.getAllKeys())) };
    } catch (error) {
      const ahead = await this.#walk('next');
      const back = ahead.whole ? { keys: [] } : await this.#walk('prev');
      const seen = new Set(ahead.keys.map(nameOf));
      const rest = back.keys.reverse().filter((key) => !seen.has(nameOf(key)));
      const why = ahead.whole ? undefined : said(error);
      return { keys: [...ahead.keys, ...rest], why };
    }
  }

  #walk(direction) {
    const keys = [];
    const walk = (store) => new Promise((then) => {
      const end = (whole) => then({ keys, whole });
      const request = store.openKeyCursor(null, direction);
      request.onsuccess = () => {
        const cursor = request.result;
        if (!cursor) return end(true);
        try {
          keys.push(cursor.key);
          cursor.continue();
        } catch {
          end(false);
        }
      };
      request.onerror = (event) => {
        event.preventDefault();
        event.stopPropagation();
        this.#transaction = undefined;
        end(false);
      };
    });
    return this.#ask(walk).catch(() => ({ keys, whole: false }));
  }
}

/** A key as text: ours are texts, but anything may lie there. */
export function nameOf(key) {
  if (typeof key === 'string') return key;
  try {
    return JSON.stringify(plain(key));
  } catch {
    return String(key);
  }
}

/**
 * All that lies in a database but the pictures themselves: { name, version, stores, unread }, or null where there is none.
 * `stores` maps each store's name to a list of { key, value }; of pictures there is the key alone. `unread` is a list of
 * { where, why }.
 */
export function readAll(name) {
  return within(name, async (db) => {
    const stores = new Map();
    const unread = [];
    for (const store of Array.from(db.objectStoreNames)) {
      const rows = [];
      stores.set(store, rows);
      const reader = new Reader(db, store);
      const { keys, why } = await reader.keys().catch((error) => ({ keys: [], why: said(error) }));
      if (why) unread.push({ where: `${store}, the list of what is in it`, why });
      for (const key of keys) {
        if (store === 'photos') {
          rows.push({ key });
          continue;
        }
        try {
          rows.push({ key, value: await reader.value(key) });
        } catch (error) {
          unread.push({ where: `${store} ${nameOf(key)}`, why: said(error) });
        }
      }
    }
    return { name, version: db.version, stores, unread };
  });
}

/** One picture as a Blob. */
export async function picture(name, key) {
  const value = await within(name, (db) => new Reader(db, 'photos').value(key));
  return value instanceof Blob ? value : new Blob([value]);
}

/** A value as JSON can hold it; what it cannot hold is named. */
export function plain(value, depth = 0) {
  if (value === null || ['string', 'boolean'].includes(typeof value)) return value;
  if (typeof value === 'number' && Number.isFinite(value)) return value;
  if (typeof value !== 'object') return { is: typeof value, text: String(value) };
  if (depth > 20) return { is: 'deeper than 20 levels' };
  if (Array.isArray(value)) return value.map((one) => plain(one, depth + 1));
  if (value instanceof Date) return { is: 'date', text: String(value) };
  if (value instanceof Blob) return { is: 'blob', bytes: value.size };
  if (value instanceof ArrayBuffer || ArrayBuffer.isView(value)) return { is: 'bytes', bytes: value.byteLength };
  if (value instanceof Map) return { is: 'map', of: plain([...value], depth + 1) };
  if (value instanceof Set) return { is: 'set', of: plain([...value], depth + 1) };
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, plain(one, depth + 1)]));
}
