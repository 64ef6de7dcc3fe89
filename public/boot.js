// Starts the app, tells when it broke, and looks after the copy kept for use without a network. It holds no words of its own.
//
// What it tells the app, each also kept as an attribute of <html> for who listens late:
//   candlemark:offline       detail {state: "ready" | "failed" | "absent"}   data-offline
//   candlemark:update-ready  a newer version waits                           data-update="ready"
// What the app may say:
//   candlemark:update-take   swap to the newer version now and load the page again
//   candlemarkBroke(what)    a panic: it has stopped for good

const root = document.documentElement;
const me = document.querySelector('script[data-js][data-wasm]');

function tell(name, attribute, state) {
  root.dataset[attribute] = state;
  window.dispatchEvent(new CustomEvent(`candlemark:${name}`, { detail: { state } }));
}

/** The program runs: what it cannot do is its own to tell. */
let begun = false;
/** So long what stood at the last visit may stand on, in milliseconds. */
const DRAWN_MS = 10_000;

function failed(why) {
  if (begun) return;
  window.candlemarkFirst?.end();
  document.getElementById('starting').hidden = true;
  document.getElementById('start-why').textContent = String(why);
  document.getElementById('start-failed').hidden = false;
}

/** Shows that the app broke, once, over a page that takes no more taps: it has stopped somewhere in the middle. Waits
 *  until the app is out of the way, for nothing of it may run meanwhile. */
function broke(why) {
  setTimeout(() => {
    const sheet = document.getElementById('broken');
    // A fault before that is told by failed().
    if (!sheet.hidden || !begun) return;
    document.getElementById('start')?.remove();
    for (const other of document.body.children) other.inert = other !== sheet;
    // A reader that types like a keyboard would still be heard.
    window.addEventListener('keydown', (event) => event.stopImmediatePropagation(), true);
    const reload = document.getElementById('broken-reload');
    reload.onclick = () => location.reload();
    document.getElementById('broken-why').textContent = why;
    sheet.hidden = false;
    reload.focus();
    import('./broken.js').catch(() => { /* without it the sheet says what matters */ });
  });
}

window.candlemarkBroke = broke;
// What ends the app without a word of its own: no memory left, or calls too deep.
window.addEventListener('error', ({ error }) => {
  if (error instanceof WebAssembly.RuntimeError || /wasm/.test(error?.stack)) broke(String(error.stack));
});
window.addEventListener('unhandledrejection', ({ reason }) => {
  if (reason instanceof WebAssembly.RuntimeError) broke(String(reason.stack));
});

/** How soon, and how near, a second tap is one of a finger that shakes: milliseconds, and pixels of the page. */
const SHAKE_MS = 300;
const SHAKE_PX = 24;
let tapped;

/** A second tap is meant for what the first one met. Where that is gone, or another page, a question or a message has come
 *  under the finger meanwhile, it goes nowhere. */
function steady(event) {
  const { detail, timeStamp, clientX, clientY, target } = event;
  // A key that presses a button, and a label that presses its field, come without a finger.
  if (!event.isTrusted || detail === 0) return;
  const last = tapped;
  const tap = { timeStamp, clientX, clientY, hash: location.hash, over: target.closest('.asked, .toast')?.className, target };
  const shaken = last && timeStamp - last.timeStamp < SHAKE_MS && Math.hypot(clientX - last.clientX, clientY - last.clientY) < SHAKE_PX;
  if (!shaken || (tap.hash === last.hash && tap.over === last.over && last.target.isConnected)) {
    tapped = tap;
    return;
  }
  event.preventDefault();
  event.stopImmediatePropagation();
}
window.addEventListener('click', steady, true);
// A browser tells of a day or a time only once it is whole. What is begun is typed too, and Save has to speak of it.
window.addEventListener('keyup', ({ target }) => {
  if (target.validity?.badInput) target.dispatchEvent(new Event('input', { bubbles: true }));
}, true);
// Who typed in between has looked: the next tap is meant.
window.addEventListener('input', () => { tapped = undefined; }, true);

/** The program, compiled while the script around it is read. Where a browser is too old for that, or a host names the
 *  file's kind wrongly, its address: that script knows another way. */
async function compiled(url) {
  try {
    return await WebAssembly.compileStreaming(fetch(url));
  } catch {
    return url;
  }
}

async function start() {
  const at = (name) => new URL(me.dataset[name], document.baseURI).href;
  const program = compiled(at('wasm'));
  const module = await import(at('js'));
  await module.default({ module_or_path: await program });
  begun = true;
  if (document.getElementById('start')?.dataset.first !== undefined) await drawn();
  document.getElementById('start')?.remove();
  import('./draft.js').catch(() => { /* without it, what is typed is there until the page is loaded again */ });
}

/** Until the program has drawn its page. */
function drawn() {
  return new Promise((done) => {
    const there = (what) => [...document.querySelectorAll(what)].some((one) => !one.closest('#start'));
    // On a wide screen what stands at the side is a part that comes later, and the bar is there until then.
    const frame = document.querySelector('#start .side') ? '.side' : 'nav';
    const look = () => there('#page .page :is(h1, .empty, .banner)') && there(frame) && end();
    const watch = new MutationObserver(look);
    const late = setTimeout(end, DRAWN_MS);
    function end() {
      watch.disconnect();
      clearTimeout(late);
      done();
    }
    watch.observe(document.body, { subtree: true, childList: true });
    look();
  });
}

async function keepOffline() {
  // Held as long as this page is open: the worker keeps the parts of its version until then.
  navigator.locks?.request(`candlemark-page ${new URL(me.dataset.wasm, document.baseURI)}`, { mode: 'shared' }, () => new Promise(() => { /* never */ }));
  const workers = navigator.serviceWorker;
  if (!workers) return tell('offline', 'offline', 'absent');
  let taking = false;
  let swapped = false;

  // Another open page may have agreed to the swap: this one keeps running what it holds, so that nothing half
  // typed is lost, and offers to load again.
  const had = !!workers.controller;
  workers.addEventListener('controllerchange', () => {
    if (taking) return location.reload();
    if (had) {
      swapped = true;
      tell('update-ready', 'update', 'ready');
    }
  });

  const registration = await workers.register('./sw.js', { scope: './', updateViaCache: 'none' });
  const offer = () => registration.waiting && registration.active && tell('update-ready', 'update', 'ready');
  const watch = (worker) => worker?.addEventListener('statechange', () => {
    if (worker.state === 'installed') offer();
    if (worker.state === 'activated') ask();
    if (worker.state === 'redundant' && !registration.active) tell('offline', 'offline', 'failed');
  });
  // Whether the copy is whole is the worker's to say: the browser may have cleared it away since it was made.
  const ask = () => {
    if (registration.active?.state !== 'activated') return;
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => {
      tell('offline', 'offline', data);
      port1.close();
      // A host that has moved on cannot fill up an older copy.
      if (data === 'failed') registration.update().catch(() => { /* no network either */ });
    };
    registration.active.postMessage({ type: 'check' }, [port2]);
  };
  watch(registration.installing);
  watch(registration.waiting);
  registration.addEventListener('updatefound', () => watch(registration.installing));
  offer();
  if (registration.active?.state === 'activated') ask();
  else watch(registration.active);
  window.addEventListener('online', ask);

  window.addEventListener('candlemark:update-take', () => {
    if (swapped) return location.reload();
    if (!registration.waiting) return;
    taking = true;
    registration.waiting.postMessage({ type: 'take-over' });
  });

  // A phone may keep the page open for weeks: look for a newer version when it is picked up, once an hour at most.
  let looked = Date.now();
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState !== 'visible') return;
    ask();
    if (Date.now() - looked < 3_600_000) return;
    looked = Date.now();
    registration.update().catch(() => { /* no network: the next look will do */ });
  });
}

/** A transaction broken off by the browser tells of each of its requests. What the program listens with (the crate
 *  indexed_db_futures 0.6) can be told of one error only, and throws at the next: so one is all that it hears. */
const begin = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function transaction(...what) {
  const begun = begin.apply(this, what);
  let told = false;
  begun.addEventListener('error', (event) => {
    if (told) event.stopImmediatePropagation();
    told = true;
  });
  return begun;
};

/** A browser takes a while to get at what a site keeps; it can do so while the app is being compiled. */
async function wakeStorage() {
  await indexedDB.databases?.();
}

wakeStorage().catch(() => { /* the app says so when it opens its records */ });
start().catch(failed).then(keepOffline).catch(() => tell('offline', 'offline', 'failed'));
