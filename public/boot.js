// Starts the app, then looks after the copy kept for use without a network. It holds no words of its own.
//
// What it tells the app, each also kept as an attribute of <html> for who listens late:
//   candlemark:offline       detail {state: "ready" | "failed" | "absent"}   data-offline
//   candlemark:update-ready  a newer version waits                           data-update="ready"
// What the app may say:
//   candlemark:update-take   swap to the newer version now and load the page again

const root = document.documentElement;
const me = document.querySelector('script[data-js][data-wasm]');

function tell(name, attribute, state) {
  root.dataset[attribute] = state;
  window.dispatchEvent(new CustomEvent(`candlemark:${name}`, { detail: { state } }));
}

function failed(why) {
  // A fault after the first drawing is the app's own to tell.
  const start = document.getElementById('start');
  if (!start) return;
  document.getElementById('starting').hidden = true;
  document.getElementById('start-why').textContent = String(why);
  document.getElementById('start-failed').hidden = false;
}

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
  document.getElementById('start')?.remove();
}

async function keepOffline() {
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
    if (worker.state === 'activated') tell('offline', 'offline', 'ready');
    if (worker.state === 'redundant' && !registration.active) tell('offline', 'offline', 'failed');
  });
  watch(registration.installing);
  watch(registration.waiting);
  registration.addEventListener('updatefound', () => watch(registration.installing));
  offer();
  if (registration.active?.state === 'activated') tell('offline', 'offline', 'ready');
  else watch(registration.active);

  window.addEventListener('candlemark:update-take', () => {
    if (swapped) return location.reload();
    if (!registration.waiting) return;
    taking = true;
    registration.waiting.postMessage({ type: 'take-over' });
  });

  // A phone may keep the page open for weeks: look for a newer version when it is picked up, once an hour at most.
  let looked = Date.now();
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState !== 'visible' || Date.now() - looked < 3_600_000) return;
    looked = Date.now();
    registration.update().catch(() => { /* no network: the next look will do */ });
  });
}

/** A browser takes a while to get at what a site keeps; it can do so while the app is being compiled. */
async function wakeStorage() {
  await indexedDB.databases?.();
}

wakeStorage().catch(() => { /* the app says so when it opens its records */ });
start().catch(failed).then(keepOffline).catch(() => tell('offline', 'offline', 'failed'));
