// The third engine: Firefox, driven by Marionette, the protocol it brings itself: over TCP, each message its length, a colon,
// and JSON ([0, number, command, parameters] there, [1, number, error, result] back).
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ELEMENT, freePort, hands, until } from './engine.mjs';

const FIREFOX = process.env.CANDLEMARK_FIREFOX ?? 'firefox-esr';

/** One connection; `ask(command, parameters)` gives the result. */
async function marionette(port) {
  const socket = connect(port, '127.0.0.1');
  await once(socket, 'connect');
  const waiting = new Map();
  let held = Buffer.alloc(0);
  let greeted;
  const greeting = new Promise((then) => { greeted = then; });
  socket.on('data', (part) => {
    held = Buffer.concat([held, part]);
    for (;;) {
      const colon = held.indexOf(':');
      const length = Number(held.subarray(0, Math.max(colon, 0)));
      if (colon < 0 || held.length < colon + 1 + length) return;
      const message = JSON.parse(held.subarray(colon + 1, colon + 1 + length));
      held = held.subarray(colon + 1 + length);
      if (!Array.isArray(message)) greeted(message);
      else waiting.get(message[1])?.(message);
    }
  });
  await greeting;
  let number = 0;
  const ask = (command, parameters = {}) => new Promise((then, failed) => {
    number += 1;
    waiting.set(number, ([, , error, result]) => (error ? failed(new Error(`${error.error}: ${error.message}`)) : then(result?.value ?? result)));
    const text = JSON.stringify([0, number, command, parameters]);
    socket.write(`${Buffer.byteLength(text)}:${text}`);
  });
  return { ask, close: () => socket.destroy() };
}

/** Opens Firefox without a window, with a profile of its own. */
export async function firefox() {
  const port = await freePort();
  const profile = await mkdtemp(join(tmpdir(), 'candlemark-firefox-'));
  const prefs = { 'marionette.port': port, 'browser.shell.checkDefaultBrowser': false, 'datareporting.policy.dataSubmissionEnabled': false, 'app.update.enabled': false, 'network.captive-portal-service.enabled': false, 'network.connectivity-service.enabled': false };
  await writeFile(join(profile, 'user.js'), Object.entries(prefs).map(([name, value]) => `user_pref(${JSON.stringify(name)}, ${JSON.stringify(value)});\n`).join(''));
  const browser = spawn(FIREFOX, ['--headless', '--marionette', '--no-remote', '--profile', profile], { stdio: 'ignore', detached: true });
  const gone = once(browser, 'exit');
  const end = async () => {
    try { process.kill(-browser.pid, 'SIGKILL'); } catch { /* it has ended by itself */ }
    await gone;
    await rm(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  };
  try {
    const { ask, close } = await until('Firefox', 'it listens', () => marionette(port), 60_000);
    await ask('WebDriver:NewSession', { capabilities: { alwaysMatch: {} } });
    return hands('Firefox', {
      go: (url) => ask('WebDriver:Navigate', { url }),
      run: (script, args) => ask('WebDriver:ExecuteScript', { script, args }),
      find: async (xpath) => (await ask('WebDriver:FindElement', { using: 'xpath', value: xpath }))[ELEMENT],
      click: (id) => ask('WebDriver:ElementClick', { id }),
      clear: (id) => ask('WebDriver:ElementClear', { id }),
      keys: (id, text) => ask('WebDriver:ElementSendKeys', { id, text }),
      async end() {
        close();
        await end();
      },
    });
  } catch (error) {
    await end();
    throw error;
  }
}
