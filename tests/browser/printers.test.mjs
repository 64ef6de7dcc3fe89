// A label printer at the device's cable. The port stands as a stub at the browser's edge, by the names of the Web Serial and
// WebUSB drafts: it takes what it is given, stalls, is unplugged, or is not chosen. What the commands draw is checked in `tests/checks`.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { reload } from './harness/browser.mjs';
import { atShelf, button, link, said, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** `window.does`: what the printer does with the next bytes. `window.sent`: what it took, as text of one character a byte. */
function cables() {
  window.sent = [];
  window.calls = [];
  window.does = 'print';
  const take = (bytes) => {
    if (window.does === 'stall') return new Promise(() => {});
    if (window.does === 'unplugged') return Promise.reject(new DOMException('', 'NetworkError'));
    window.sent.push(String.fromCharCode(...bytes));
    return Promise.resolve();
  };
  const noted = (name, answer) => async (...given) => { window.calls.push([name, ...given]); return answer?.(...given); };
  const stream = { getWriter: () => ({ write: take, abort: noted('abort'), releaseLock: () => window.calls.push(['release']) }) };
  const port = { open: noted('open'), close: noted('close'), writable: stream };
  const chosen = (one) => () => { if (window.does === 'nothing') throw new DOMException('', 'NotFoundError'); return one; };
  const define = (name, value) => Object.defineProperty(navigator, name, { value, configurable: true });
  define('serial', { getPorts: async () => [], requestPort: noted('requestPort', chosen(port)) });
  const endpoints = [{ direction: 'in', type: 'bulk', endpointNumber: 1 }, { direction: 'out', type: 'bulk', endpointNumber: 2 }];
  const interfaces = [
    { interfaceNumber: 0, alternate: { interfaceClass: 3, endpoints: [] } },
    { interfaceNumber: 1, alternate: { interfaceClass: 7, endpoints } },
  ];
  const device = {
    configuration: null, open: noted('open'), close: noted('close'), claimInterface: noted('claimInterface'),
    selectConfiguration: noted('selectConfiguration', () => { device.configuration = { interfaces }; }),
    transferOut: async (endpoint, bytes) => { window.calls.push(['transferOut', endpoint]); if (window.does === 'full') return { status: 'stall' }; await take(bytes); return { status: 'ok' }; },
  };
  define('usb', { getDevices: async () => [], requestDevice: noted('requestDevice', chosen(device)) });
  // What a stalled printer is waited for, a hundredth of it.
  const later = window.setTimeout;
  window.setTimeout = (act, ms, ...given) => later(act, ms === 20_000 ? 200 : ms, ...given);
}

const does = (page, what) => page.evaluate((what) => { window.does = what; window.sent = []; window.calls = []; }, what);
const sent = (page) => page.evaluate(() => window.sent.join(''));
const calls = (page) => page.evaluate(() => window.calls);

async function atPrinter(act) {
  await atShelf(server, async ({ context, page }) => {
    await link(page, 'Print label').tap();
    await title(page, 'Label').waitFor();
    await context.addInitScript(cables);
    await reload(page);
    await page.getByText('Label printer at this device', { exact: true }).tap();
    await act(page);
  });
}

test('a label goes over a serial port, in the printer\'s language, and is marked as printed', () => atPrinter(async (page) => {
  await button(page, 'Print over a serial port').tap();
  await said(page, 'Label marked as printed.');
  assert.match(await sent(page), /^SIZE 62 mm,40 mm\r\nCLS\r\nBITMAP 0,0,62,320,0,[^]{19840}\r\nPRINT 1,1\r\n$/);
  assert.deepEqual(await calls(page), [['requestPort'], ['open', { baudRate: 9600 }], ['release'], ['close']]);
  await does(page, 'print');
  await button(page, 'ZPL').tap();
  await button(page, 'Print over a serial port').tap();
  await said(page, 'Label marked as printed.');
  assert.match(await sent(page), /^\^XA\^PW496\^LL320\^LH0,0\^FO0,0\^GFA,19840,19840,62,[0-9A-F]{39680}\^FS\^PQ1\^XZ\n$/);
  // The language is kept.
  await reload(page);
  await page.getByText('Label printer at this device', { exact: true }).tap();
  assert.equal(await button(page, 'ZPL').getAttribute('aria-pressed'), 'true');
}));

test('over USB the printer\'s own interface is found, whatever else the device is', () => atPrinter(async (page) => {
  await button(page, 'Print over USB').tap();
  await said(page, 'Label marked as printed.');
  assert.match(await sent(page), /^SIZE 62 mm,40 mm[^]*PRINT 1,1\r\n$/);
  const [asked, ...rest] = await calls(page);
  assert.deepEqual(asked, ['requestDevice', { filters: [{ classCode: 7 }] }]);
  assert.deepEqual(rest.slice(0, 3), [['open', undefined], ['selectConfiguration', 1], ['claimInterface', 1]]);
  assert.deepEqual(new Set(rest.slice(3, -1).map(String)), new Set(['transferOut,2']));
  assert.deepEqual(rest.at(-1), ['close']);
}));

test('no paper, no cable, no choice: said as it is, nothing marked as printed', () => atPrinter(async (page) => {
  for (const [what, by, told] of [
    ['stall', 'Print over a serial port', /takes nothing more: look for paper/],
    ['unplugged', 'Print over a serial port', /printer is gone: look at its cable/],
    ['full', 'Print over USB', /takes nothing more: look for paper/],
  ]) {
    await does(page, what);
    await button(page, by).tap();
    await said(page, told);
    assert.deepEqual((await calls(page)).at(-1), ['close'], `${what}: the port is let go of`);
    await button(page, 'Close').tap();
  }
  await does(page, 'nothing');
  await button(page, 'Print over a serial port').tap();
  await page.waitForFunction(() => window.calls.length === 1);
  assert.equal(await button(page, 'Close').count(), 0, 'who chose nothing is told nothing');
  assert.equal(await page.getByText('Label marked as printed.').count(), 0);
}));
