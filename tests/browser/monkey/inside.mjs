// What the monkey has in the page itself: sent as one function that runs before anything of the app. It watches what is
// written, waited for, clicked and changed, finds what can be tapped, and says how the page looks after a step.

/** Runs in the page. `seed`: of its chance; `base`: the first moment of its clock, in milliseconds since 1970. */
export function inside({ seed, base }) {
  if (!location.protocol.startsWith('http')) return;
  const kept = (key, first) => Number(localStorage.getItem(`monkey:${key}`) ?? first);
  const load = kept('load', 0) + 1;
  localStorage.setItem('monkey:load', load);

  // One clock for all tabs, which goes on with the steps: a run can be played again.
  const Real = Date;
  let since = performance.now();
  const now = () => kept('now', base) + Math.min(900, Math.floor(performance.now() - since));
  globalThis.Date = class Date extends Real {
    constructor(...args) { if (args.length) super(...args); else super(now()); }
    static now() { return now(); }
  };

  // Ids are the same in each run of a seed, and no two loads have the same.
  let chance = (seed * 7919 + load * 104_729) >>> 0;
  const byte = () => {
    chance = (chance + 0x6d2b79f5) >>> 0;
    let t = Math.imul(chance ^ (chance >>> 15), chance | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return (t ^ (t >>> 14)) & 255;
  };
  const real = Crypto.prototype.getRandomValues;
  Crypto.prototype.getRandomValues = function getRandomValues(array) {
    if (!(array instanceof Uint8Array)) return real.call(this, array);
    for (let at = 0; at < array.length; at += 1) array[at] = byte();
    return array;
  };

  // What is waited for: until all of it has come, the page is not looked at.
  let waiting = 0;
  const written = [];
  const begin = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function transaction(...what) {
    const begun = begin.apply(this, what);
    waiting += 1;
    begun.puts = [];
    const over = (done) => () => {
      waiting -= 1;
      if (done) written.push(...begun.puts);
    };
    begun.addEventListener('complete', over(true));
    begun.addEventListener('abort', over(false));
    return begun;
  };
  for (const name of ['put', 'add']) {
    const put = IDBObjectStore.prototype[name];
    IDBObjectStore.prototype[name] = function noted(value, ...key) {
      if (typeof value === 'string' && this.name !== 'blocks') this.transaction.puts?.push([this.name, String(key[0]), value]);
      return put.call(this, value, ...key);
    };
  }
  const get = globalThis.fetch;
  globalThis.fetch = async (...what) => {
    waiting += 1;
    try {
      return await get(...what);
    } finally {
      setTimeout(() => { waiting -= 1; });
    }
  };

  // The app hears of a new address a moment after it stands there.
  let heard = location.hash;
  window.addEventListener('hashchange', () => { heard = location.hash; });

  // What leaves the page is an answer to a tap too.
  let left = 0;
  globalThis.print = () => { left += 1; };
  const open = HTMLAnchorElement.prototype.click;
  HTMLAnchorElement.prototype.click = function click() {
    left += 1;
    if (!this.download) open.call(this);
  };
  const choose = HTMLInputElement.prototype.click;
  HTMLInputElement.prototype.click = function click() {
    left += 1;
    if (this.type !== 'file') choose.call(this);
  };
  // Nobody chooses in the browser's own window.
  globalThis.showDirectoryPicker = async () => {
    left += 1;
    throw new DOMException('nothing was chosen', 'AbortError');
  };
  navigator.clipboard.writeText = async () => { left += 1; };

  // Which clicks came, on what page, and which the app let through.
  let clicks = [];
  const control = (element) => element?.closest?.('button, a[href], summary, input, select, label');
  const stamp = (event) => ({ at: event.timeStamp, hash: location.hash, on: name(control(event.target)), asked: !!event.target.closest?.('.asked, .toast'), control: !!control(event.target), through: false });
  window.addEventListener('click', (event) => {
    if (event.isTrusted) clicks.push(event.monkey = stamp(event));
  }, true);
  document.addEventListener('DOMContentLoaded', () => document.body.addEventListener('click', (event) => {
    if (event.monkey) event.monkey.through = true;
  }, true));

  let aimed = {};
  let changes = 0;
  let turns = 0;
  document.addEventListener('focusin', ({ target }) => { if (target !== aimed.element) changes += 1; });
  new MutationObserver((records) => {
    const main = document.getElementById('page');
    changes += records.length;
    turns += records.filter(({ target }) => main?.contains(target)).length;
  }).observe(document, { subtree: true, childList: true, attributes: true, characterData: true });

  let hidden = false;
  Object.defineProperty(document, 'hidden', { configurable: true, get: () => hidden });

  const plain = (text) => (text ?? '').replace(/\s+/g, ' ').trim();
  const heading = () => plain(document.querySelector('#page .page :is(h1, .empty, .banner)')?.textContent);

  /** What a control is called on the page. */
  function name(element) {
    if (!element) return '';
    const label = element.getAttribute('aria-label');
    if (label) return plain(label);
    if (element.matches('input, select, textarea')) {
      const title = element.labels?.[0]?.querySelector(':scope > span:not(.unit-box)') ?? element.labels?.[0];
      return plain(title?.textContent) || element.placeholder || element.type;
    }
    return plain(element.textContent).slice(0, 60);
  }

  const TEXTS = ['text', 'search', 'number', 'date', 'time', 'tel', 'url', 'email', 'datetime-local', 'month', 'password'];
  const isText = (element) => element.matches('textarea') || (element.matches('input') && TEXTS.includes(element.type));

  const shown = (element) => {
    if (element.disabled || element.closest('[inert], [hidden]')) return false;
    return element.checkVisibility({ visibilityProperty: true }) && element.getClientRects().length > 0;
  };

  /** A point of it that a finger meets, after scrolling to it; none where something lies over it. */
  function point(element) {
    element.scrollIntoView({ block: 'center', inline: 'center', behavior: 'instant' });
    const box = element.getClientRects()[0] ?? element.getBoundingClientRect();
    const x = Math.min(Math.max(box.x + box.width / 2, 1), innerWidth - 2);
    const y = Math.min(Math.max(box.y + box.height / 2, 1), innerHeight - 2);
    const top = document.elementFromPoint(x, y);
    const meets = top && (element.contains(top) || (control(top) === control(element)) || top.closest('label')?.control === element);
    return meets ? { x, y } : null;
  }

  const found = (selector) => [...document.querySelectorAll(selector)].filter(shown);

  const KINDS = {
    tap: () => found('#page :is(button, a[href^="#"], summary, input[type=checkbox], input[type=radio], input[type=range]), .toast button, .asked button'),
    save: () => found('#page :is(button.main, button[type=submit], form button:not([type=button])), .asked button'),
    bar: () => found('nav.bar a'),
    step: () => found('.step button'),
    type: () => found('#page :is(input, textarea)').filter(isText).filter((field) => !field.readOnly),
    choose: () => found('#page select').filter((list) => list.options.length > 1),
    undo: () => found('.toast button'),
    file: () => [...document.querySelectorAll('#page input[type=file]')].filter((field) => !field.disabled),
  };

  /** What stands out beyond the page, the innermost of it. */
  function widest() {
    if (document.documentElement.scrollWidth <= document.documentElement.clientWidth) return '';
    const out = [...document.querySelectorAll('body *')].filter((one) => one.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5);
    return out.filter((one) => !out.some((other) => other !== one && one.contains(other))).map((one) => `${one.localName}.${one.className} “${plain(one.textContent).slice(0, 60)}”`).slice(0, 3).join(', ');
  }

  let numbered = 0;
  const number = (element) => (element.monkey ??= `f${load}.${numbered += 1}`);
  const group = (field) => plain(field.closest('tr, li, fieldset, .card, details')?.querySelector('th, h3, legend, summary, .title')?.textContent);
  const fields = () => [...document.querySelectorAll('#page :is(input, textarea)')].filter(isText);
  const values = () => [...document.querySelectorAll('input, textarea, select')].map((field) => (field.type === 'checkbox' || field.type === 'radio' ? field.checked : field.value)).join('\u0001');

  const isAnswered = () => changes > 0 || left > 0 || values() !== aimed.values || scrollY !== aimed.scroll || location.hash !== aimed.hash;

  /** What became of texts in their fields; one that was drawn anew has the name of the one before it. */
  function stands(typed) {
    const all = fields();
    return typed.map(({ id, name: called, group: of, text: was }) => {
      const same = all.find((field) => field.monkey === id);
      const like = all.filter((field) => name(field) === called && group(field) === of);
      const held = (field) => plain(field.value) === plain(was) || field.validity.badInput;
      const at = same ?? like.find(held);
      if (at && held(at)) return { is: 'stands', on: name(at), id: number(at), bad: at.ariaInvalid === 'true' };
      if (same ?? like[0]) return { is: 'changed', to: (same ?? like[0]).value };
      return { is: 'gone' };
    });
  }

  const monkey = {
    /** A new step begins, at this moment of its clock. */
    begin(at) {
      localStorage.setItem('monkey:now', at);
      since = performance.now();
      clicks = [];
      changes = 0;
      left = 0;
      turns = 0;
      aimed = { values: values(), scroll: scrollY, hash: location.hash };
    },

    /** The control of a kind at `share` (0 to 1) of the page, or the next that can be met. `skip`: names never tapped. */
    aim(kind, share, skip) {
      const all = KINDS[kind]();
      const from = Math.floor(share * all.length);
      const files = kind === 'file';
      for (let n = 0; n < all.length; n += 1) {
        const element = all[(from + n) % all.length];
        const called = name(element);
        if (skip.includes(called)) continue;
        const at = files ? { x: 0, y: 0 } : point(element);
        if (!at) continue;
        aimed = { ...aimed, element };
        const field = element.matches('.step button') ? element.parentElement.querySelector('input') : element;
        return {
          ...at, name: called, tag: element.localName, type: element.type, group: group(element),
          id: isText(field) ? number(field) : null, before: field.value ?? '', secret: field.type === 'password' || 'secret' in field.dataset,
          hash: location.hash, step: history.state, href: element.getAttribute('href'), pressed: element.getAttribute('aria-pressed') ?? element.getAttribute('aria-checked'),
          options: element.options?.length, chip: element.matches('.chip, [aria-pressed], [role=tab], [role=radio], [aria-expanded]'),
          form: element.form ? [...element.form.elements].filter(isText).map(number) : [],
        };
      }
      return null;
    },

    /** Stands in the aimed field, all of it marked, as after a long touch. */
    focus() {
      aimed.element.focus();
      if (['date', 'time', 'month', 'datetime-local', 'number', 'email'].includes(aimed.element.type)) return;
      aimed.element.setSelectionRange(0, aimed.element.value.length);
    },

    /** As a picker of the system fills in a field. */
    set(value) {
      aimed.element.value = value;
      aimed.element.dispatchEvent(new Event('input', { bubbles: true }));
      aimed.element.dispatchEvent(new Event('change', { bubbles: true }));
    },

    choose(share) {
      const list = aimed.element;
      list.selectedIndex = Math.floor(share * list.options.length);
      list.dispatchEvent(new Event('input', { bubbles: true }));
      list.dispatchEvent(new Event('change', { bubbles: true }));
      return plain(list.selectedOptions[0]?.textContent);
    },

    give(files) {
      const given = new DataTransfer();
      for (const { name, type, text } of files) given.items.add(new File([text], name, { type }));
      aimed.element.files = given.files;
      aimed.element.dispatchEvent(new Event('change', { bubbles: true }));
    },

    /** A step back or forward, where one was made in this page. */
    go(by) {
      const can = by < 0 ? navigation.canGoBack : navigation.canGoForward;
      if (can) history.go(by);
      return can;
    },

    hide(away) {
      hidden = away;
      document.dispatchEvent(new Event('visibilitychange'));
    },

    /** Waits until nothing is under way; false when it never ends. */
    async still(most = 30_000) {
      const end = performance.now() + most;
      const frame = () => new Promise((then) => requestAnimationFrame(then));
      // A part of the program may still be on its way: then the page has no heading yet.
      const busy = () => waiting > 0 || !heading() || heard !== location.hash || /^(Opening the records…|Candlemark is opening…)$/.test(plain(document.querySelector('#page, #start')?.textContent).slice(0, 40)) || !!document.querySelector('#start');
      for (let quiet = 0; quiet < 2; quiet = busy() ? 0 : quiet + 1) {
        if (performance.now() > end) return false;
        await frame();
      }
      return true;
    },

    /** The number of this step of the history, once the app has given it one. */
    async number() {
      await monkey.still();
      return history.state;
    },

    /** Waits until all of `typed` stands in its fields, as long as that may take. */
    async again(typed, most = 4000) {
      const end = performance.now() + most;
      while (stands(typed).some(({ is }) => is !== 'stands') && performance.now() < end) await new Promise((then) => setTimeout(then, 50));
    },

    /** Where to tap once more, when the tap met no control: the page may have moved under the finger, as it does while it
     *  goes back to where it was scrolled to. */
    missed() {
      const met = clicks.some(({ control, through }) => control || !through);
      return met || isAnswered() || !aimed.element?.isConnected || !shown(aimed.element) ? null : point(aimed.element);
    },

    /** Whether the last tap is answered after all: a busy machine may be late. */
    async answers(most = 20_000) {
      const end = performance.now() + most;
      while (!isAnswered() && performance.now() < end) await new Promise((then) => setTimeout(then, 50));
      return isAnswered();
    },

    /** How the page is; `typed`: what is held to stand in fields. Takes what was written since the last look. */
    async look(typed) {
      const still = await monkey.still();
      const text = document.body.innerText;
      const all = fields();
      const heard = found('[role=status], [role=alert], .hint.bad, .asked, .toast').map((one) => plain(one.textContent)).filter(Boolean);
      const told = {
        still, hash: location.hash, step: history.state, text, stands: stands(typed), heard: [...new Set(heard)], clicks,
        heading: heading(),
        broken: !document.getElementById('broken')?.hidden && plain(document.getElementById('broken-why')?.textContent),
        wide: document.documentElement.scrollWidth, widest: widest(),
        named: [...document.querySelectorAll('[aria-label], [title], [placeholder], img[alt]')].map((one) => ['aria-label', 'title', 'placeholder', 'alt'].map((at) => one.getAttribute(at) ?? '').join(' ')).join('\n'),
        values: all.filter((field) => !typed.some(({ id }) => id === field.monkey)).map((field) => field.value).join('\n'),
        fresh: turns > 0, turned: location.hash !== aimed.hash, answered: isAnswered(),
        links: [...document.querySelectorAll('a[href^="#/"]')].map((link) => link.getAttribute('href')),
        prefs: Object.entries(localStorage).filter(([key]) => key.startsWith('candlemark:')).map(([, value]) => value).join('\n'),
        twins: [...new Set(all.filter((field) => field.checkVisibility()).map((field) => `${group(field)}: ${name(field)}`).filter((one, at, names) => names.indexOf(one) !== at))],
        asking: !!document.querySelector('.asked'), undo: !!document.querySelector('.toast button'),
        written: written.splice(0),
      };
      clicks = [];
      return told;
    },

    /** All ids by kind that the records hold, from the lines of the database under the app. */
    async ids() {
      const done = (request) => new Promise((then, failed) => {
        request.onsuccess = () => then(request.result);
        request.onerror = () => failed(request.error);
      });
      const names = (await indexedDB.databases()).map((one) => one.name).filter((one) => one.startsWith('candlemark:'));
      const ids = {};
      for (const name of names) {
        const db = await done(indexedDB.open(name));
        const reading = begin.call(db, ['entries', 'blocks']);
        const [rows, blocks] = await Promise.all(['entries', 'blocks'].map((store) => done(reading.objectStore(store).getAll())));
        db.close();
        for (const line of [...blocks.flatMap((block) => block.split('\n')), ...rows]) {
          for (const { kind, id } of JSON.parse(line).sets) (ids[kind] ??= new Set()).add(id);
        }
      }
      return Object.fromEntries(Object.entries(ids).map(([kind, all]) => [kind, [...all]]));
    },
  };
  window.monkey = monkey;
}
