// The app's database changed behind its back, as harm or another program would. Each runs in a page of the app's origin.

/** Runs in a page: `change(store, done, args)` in one transaction over a store of the keeper's database. */
async function changed(store, change, args) {
  const done = (request) => new Promise((then, failed) => {
    request.onsuccess = () => then(request.result);
    request.onerror = () => failed(request.error);
  });
  const db = await done(indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`));
  const writing = db.transaction(store, 'readwrite', { durability: 'strict' });
  const over = new Promise((then, failed) => { writing.oncomplete = then; writing.onabort = () => failed(writing.error); });
  const answer = await change(writing.objectStore(store), done, args);
  await over;
  db.close();
  return answer;
}

/** Changes a store of the keeper's database. Sent as one text: the page's own policy allows no code made of texts. */
export const behind = (page, store, change, args = null) => page.evaluate(`(${changed})(${JSON.stringify(store)}, ${change}, ${JSON.stringify(args)})`);

export const forget = (page, key) => behind(page, 'meta', (store, _, key) => { store.delete(key); }, key);
export const spoil = (page, key, text) => behind(page, 'meta', (store, _, [key, text]) => { store.put(text, key); }, [key, text]);

/** Another digit in the first place of the snapshot that a pattern finds: still a sound text. */
export const alter = (page, from, to) => behind(page, 'meta', async (store, done, [from, to]) => {
  const text = await done(store.get('snapshot'));
  const changed = text.replace(from, to);
  store.put(changed, 'snapshot');
  return changed !== text;
}, [from, to]);

/** Takes the last block away; how many lines it held. */
export const dropBlock = (page) => behind(page, 'blocks', async (store, done) => {
  const last = (await done(store.getAllKeys())).at(-1);
  const lines = (await done(store.get(last))).split('\n').length;
  store.delete(last);
  return lines;
});
