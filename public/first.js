// Something to read at once: what Rounds showed last is kept as plain markup, and stands from the first moment of a start until
// the program has drawn the page anew. It takes no taps, says of what time it is, and holds no words of its own.
//
// What the app may say:
//   candlemark:changed   the records are others now
//   candlemark:erased    people's details were erased or locked
(() => {
  const KEPT = `candlemark:${new URL('.', document.baseURI).pathname}first`;
  const PREFS = `candlemark:${new URL('.', document.baseURI).pathname}`;
  /** More letters than a long list of a large barn has. */
  const MOST = 400_000;
  /** After a change the page is drawn first. */
  const SETTLED_MS = 600;
  const version = document.querySelector('script[data-wasm]')?.dataset.wasm;
  const start = document.getElementById('start');
  let storage;
  try { storage = window.localStorage; } catch { return; /* switched off */ }

  const isRounds = () => ['', '#', '#/'].includes(location.hash);
  const today = () => new Date().toLocaleDateString('sv');
  /** All that the page looks like depends on, but for the records. */
  const around = () => JSON.stringify([version, today(), innerWidth, storage.getItem(PREFS)]);

  let stood;

  /** It does not stand any more: the start failed. */
  function end() {
    stood?.remove();
    document.getElementById('first-said').hidden = true;
    start.className = 'page';
    delete start.dataset.first;
  }

  function show() {
    const kept = JSON.parse(storage.getItem(KEPT) ?? 'null');
    if (!kept || kept.around !== around() || !isRounds()) return;
    stood = document.createElement('div');
    stood.inert = true;
    stood.innerHTML = kept.markup;
    for (const one of stood.querySelectorAll('[data-style]')) one.style.cssText = one.dataset.style;
    if (kept.theme) document.documentElement.dataset.theme = kept.theme;
    document.getElementById('first-at').textContent = new Date(kept.at).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
    document.getElementById('starting').hidden = true;
    document.getElementById('first-said').hidden = false;
    start.className = '';
    start.dataset.first = '';
    start.append(stood);
  }

  /** Rounds as it is drawn now, without what is said and asked over it, and what was found. */
  function markup() {
    const page = document.getElementById('page');
    if (document.getElementById('start') || !page?.querySelector('[data-rounds]')) return null;
    const parts = [...document.body.children].filter((part) => !part.id.match(/^(start|draft|broken)$/) && !part.matches('script, .skip, .notices, .toast, .asked'));
    const copy = document.createElement('div');
    for (const part of parts) {
      const like = document.createElement(part.localName === 'main' ? 'div' : part.localName);
      like.className = part.className;
      like.append(...part.cloneNode(true).childNodes);
      copy.append(like);
    }
    for (const gone of copy.querySelectorAll('script, img, video, .found > *, [role=alert]')) gone.remove();
    // The page's policy lets no style stand in markup.
    for (const one of copy.querySelectorAll('[style]')) {
      one.dataset.style = one.style.cssText;
      one.removeAttribute('style');
    }
    for (const one of copy.querySelectorAll('[id], [for], [name], [autofocus]')) for (const name of ['id', 'for', 'name', 'autofocus']) one.removeAttribute(name);
    return copy.innerHTML;
  }

  function forget() {
    storage.removeItem(KEPT);
  }

  function keep() {
    const now = isRounds() ? markup() : null;
    if (!now || now.length > MOST) return;
    try {
      storage.setItem(KEPT, JSON.stringify({ around: around(), at: Date.now(), theme: document.documentElement.dataset.theme, markup: now }));
    } catch {
      forget();
    }
  }

  // A tab that nobody sees was kept as it was left; what another one saved since is not in it.
  const keepSeen = () => document.hidden || keep();
  let settling;
  function settle() {
    clearTimeout(settling);
    settling = setTimeout(keepSeen, SETTLED_MS);
  }
  window.addEventListener('candlemark:changed', () => {
    forget();
    settle();
  });
  // Some browsers end without a word.
  window.addEventListener('hashchange', settle);
  window.addEventListener('candlemark:erased', forget);
  window.addEventListener('pagehide', keepSeen);
  document.addEventListener('visibilitychange', () => document.hidden && keep());

  window.candlemarkFirst = { end };
  try { show(); } catch { forget(); }
})();
