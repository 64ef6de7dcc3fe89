// Chromium as a phone or a desktop, with a profile that can outlive it, watched for faults and foreign requests.
import { mkdtemp, mkdir, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

export const out = fileURLToPath(new URL('../out/', import.meta.url));

const executablePath = process.env.CANDLEMARK_CHROMIUM ?? '/usr/bin/chromium';

/** What Playwright switches off (its list: a second one takes its place), and what a browser with a window would load beside each
 *  page and nobody sees here: the pages of its address bar, and a process kept for the next page. Eight starts with the season took 13.3 s of processor without them, 21.0 with. */
const OFF = [
  'AvoidUnnecessaryBeforeUnloadCheckSync', 'DestroyProfileOnBrowserClose', 'HttpsUpgrades', 'HttpsFirstBalancedModeAutoEnable',
  'LensOverlay', 'MediaRouter', 'PaintHolding', 'ThirdPartyStoragePartitioning', 'AvoidCorsURLLoaderRestartOnRedirect',
  'TcpPortRandomizationWin', 'OptimizationHints', 'NetworkTimeServiceQuerying', 'AimEnabled', 'PreconnectToSearch',
  'PreloadTopChromeWebUI', 'WebUIOmniboxPopup', 'WebUIOmniboxAimPopup', 'WebUIOmniboxFullPopup', 'WebUIOmniboxSimplification',
  'SpareRendererForSitePerProcess',
];

const ARGS = [
  `--disable-features=${OFF.join(',')}`,
  '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  // Nothing but this machine can be reached, so a stray request fails instead of leaving.
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost',
];

const SEATS = {
  phone: { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true },
  desktop: { viewport: { width: 1280, height: 800 } },
};

/** A browser that several seats share: it, how many sit there, and what closes it once nobody has for a while. Starting it is most of a
 *  short test, and a test is over before a second compiler's work has paid, so it has only the first. */
const shared = { browser: undefined, seats: 0, closing: undefined };
const IDLE_MS = 500;

/** A fresh context: nothing of one can be seen from another. */
async function sharedSeat(options) {
  clearTimeout(shared.closing);
  shared.seats++;
  shared.browser ??= chromium.launch({ executablePath, args: [...ARGS, '--js-flags=--no-wasm-tier-up'] });
  return (await shared.browser).newContext(options);
}

function leaveShared() {
  if (--shared.seats > 0) return;
  shared.closing = setTimeout(async () => {
    const { browser } = shared;
    shared.browser = undefined;
    await (await browser).close();
  }, IDLE_MS);
}

/**
 * Opens a browser. `kind`: phone or desktop. `own`: not a shared one, but as a keeper has it: it compiles as it likes, stores on
 * the disk, and can be killed. So are those with a `profile` (a folder to keep; else a new one, gone at `close()`), a `camera` (a
 * .y4m or .mjpeg file that stands before the lens) or `sqlite` (IndexedDB on the newer back end). The rest goes to Playwright's context.
 * Gives { context, page, profile, faults, requests, close, kill }: `faults` are console errors and uncaught ones as text,
 * `requests` the addresses of all requests, the service worker's too; `kill()` ends the whole browser as a flat battery does.
 */
export async function seat({ kind = 'phone', profile, own, camera, sqlite, ...context } = {}) {
  const options = { locale: 'en-GB', timezoneId: 'Europe/London', permissions: camera ? ['camera'] : [], ...SEATS[kind], ...context };
  const alone = Boolean(profile || own || camera || sqlite);
  const kept = alone ? profile ?? await mkdtemp(join(tmpdir(), 'candlemark-profile-')) : undefined;
  const args = [...ARGS];
  if (camera) args.push('--use-fake-ui-for-media-stream', '--use-fake-device-for-media-stream', `--use-file-for-fake-video-capture=${camera}`);
  if (sqlite) args.push('--enable-features=IdbSqliteBackingStore,IdbSqliteOnDiskRollout');
  const opened = alone ? await chromium.launchPersistentContext(kept, { executablePath, args, ...options }) : await sharedSeat(options);
  // Only what fails waits so long: a machine under load is no fault of the app.
  opened.setDefaultTimeout(60_000);
  await lookFirst(opened, opened.pages()[0] ?? await opened.newPage());
  const faults = [];
  const requests = [];
  opened.on('console', (message) => message.type() === 'error' && faults.push(`${message.text()} (${message.location().url})`));
  opened.on('weberror', (error) => faults.push(String(error.error().stack ?? error.error())));
  opened.on('request', (request) => requests.push(request.url()));
  return {
    context: opened, page: opened.pages()[0] ?? await opened.newPage(), profile: kept, faults, requests,
    async close() {
      await opened.close();
      if (!alone) leaveShared();
      else if (!profile) await rm(kept, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
    },
    async kill() {
      if (!alone) throw new Error('others sit in this browser: ask for one of its `own`');
      const gone = opened.waitForEvent('close');
      const pids = await processesOf(kept);
      if (pids.length === 0) throw new Error('no process of this browser was found');
      // Its first process leads their group: all of them at one stroke.
      for (const pid of [-Math.min(...pids), ...pids]) try { process.kill(pid, 'SIGKILL'); } catch { /* gone already */ }
      await gone;
    },
  };
}

/** A person looks at a page before tapping it. Two taps on one spot, quicker than that, are a finger that shakes: the app lets
 *  the second one go nowhere once what was tapped is gone, or another page or a question has come (`steady` in `public/boot.js`: 300 ms, 24 px). */
const LOOK_MS = 320;
const FAR_PX = 48;
const taps = new WeakMap();
async function lookFirst(context, page) {
  await context.addInitScript(() => {
    // The app's own listener stands between these two.
    addEventListener('click', ({ clientX, clientY, target }) => {
      window.lastTap = { nth: (window.lastTap?.nth ?? 0) + 1, x: clientX, y: clientY, target, arrived: false };
    }, true);
    addEventListener('DOMContentLoaded', () => document.addEventListener('click', () => { window.lastTap.arrived = true; }, true));
  });
  const locators = Object.getPrototypeOf(page.locator('main'));
  if (Object.hasOwn(locators, 'quick')) return;
  locators.quick = locators.tap;
  locators.tap = async function tap(options) {
    const page = this.page();
    const early = () => (taps.get(page) ?? 0) + LOOK_MS - Date.now();
    const waited = () => new Promise((then) => setTimeout(then, Math.max(0, early())));
    const nth = early() > 0 ? await this.evaluate(isSteady, FAR_PX) : undefined;
    if (nth === false) await waited();
    await this.quick(options);
    // The page may have moved under the finger meanwhile. A person whose tap did nothing taps again.
    if (typeof nth === 'number' && await page.evaluate(wentNowhere, nth).catch(() => false)) {
      await waited();
      await page.evaluate(() => { window.lastTap.again = true; });
      await this.quick(options);
    }
    taps.set(page, Date.now());
  };
}

/** In the page: how many taps there were, where a tap on this element seems to be none of a shaking finger: it is on what was
 *  tapped last, or all of it lies in sight, far from the last tap. Else false. */
function isSteady(element, far) {
  if (!window.lastTap) return 0;
  const { nth, x, y, target } = window.lastTap;
  if (element.contains(target)) return nth;
  const { left, right, top, bottom } = element.getBoundingClientRect();
  const inSight = left >= 0 && top >= 0 && right <= innerWidth && bottom <= innerHeight;
  return inSight && Math.hypot((left + right) / 2 - x, (top + bottom) / 2 - y) > far ? nth : false;
}

/** In the page: whether the tap after so many was let go nowhere. */
async function wentNowhere(nth) {
  for (let tries = 0; tries < 10 && (window.lastTap?.nth ?? 0) === nth; tries++) await new Promise((then) => setTimeout(then, 10));
  return (window.lastTap?.nth ?? 0) === nth + 1 && !window.lastTap.arrived;
}

/** Processes of the browser that has this profile, by the folder in their command line. */
async function processesOf(profile) {
  const found = [];
  for (const pid of (await readdir('/proc')).filter((name) => /^\d+$/.test(name))) {
    const command = await readFile(`/proc/${pid}/cmdline`, 'utf8').catch(() => '');
    if (command.includes(`--user-data-dir=${profile}`)) found.push(Number(pid));
  }
  return found;
}

/** Opens the app at a fragment (`#/scan`) and waits until it has drawn itself. */
export async function visit(page, url, fragment = '') {
  await page.goto(url + fragment);
  await drawn(page);
}

/** Loads the page again. What was shown last stands until the app has drawn itself: it looks like the page and takes no key and no tap. */
export async function reload(page) {
  await page.reload();
  await drawn(page);
}

/** Waits until the app has drawn itself; fails with the page's own sentence when it says it cannot start. */
export async function drawn(page) {
  await page.waitForFunction(() => {
    const failed = document.getElementById('start-failed');
    if (failed && !failed.hidden) throw new Error(failed.textContent);
    return !document.getElementById('start');
  });
}

/** Waits until the copy for use without a network is whole and in charge of the page. */
export async function kept(page) {
  await page.waitForFunction(() => {
    const { offline } = document.documentElement.dataset;
    if (offline === 'failed' || offline === 'absent') throw new Error(`the copy for offline use: ${offline}`);
    return offline === 'ready' && !!navigator.serviceWorker.controller;
  });
}

/** Waits until what fades in is there: half way its colours are neither those of the page nor of what lies behind it. */
export async function settled(page) {
  await page.waitForFunction(() => document.getAnimations().every(({ playState }) => playState !== 'running'));
}

/** A picture of the page for a person to look at, in tests/browser/out/, where pictures are asked for: `CANDLEMARK_SHOTS=1`. */
export async function shot(page, name, options = {}) {
  await settled(page);
  if (!process.env.CANDLEMARK_SHOTS) return undefined;
  await mkdir(out, { recursive: true });
  const path = join(out, `${name}.png`);
  await page.screenshot({ path, ...options });
  return path;
}
