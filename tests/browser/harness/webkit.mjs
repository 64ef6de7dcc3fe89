// The second engine: WebKit, which is what every browser on an iPhone is. Driven by WebDriver's own HTTP commands.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { ELEMENT, freePort, hands, until } from './engine.mjs';

const MINI = process.env.CANDLEMARK_MINIBROWSER ?? `/usr/lib/${process.arch === 'arm64' ? 'aarch64' : 'x86_64'}-linux-gnu/webkit2gtk-4.1/MiniBrowser`;

/** Opens WebKit under a screen of its own. */
export async function webkit() {
  const port = await freePort();
  // In a group of its own: the screen, the driver and the browser end together.
  const driver = spawn('xvfb-run', ['-a', 'WebKitWebDriver', `--port=${port}`], { stdio: 'ignore', detached: true });
  const gone = once(driver, 'exit');
  const end = async () => {
    try { process.kill(-driver.pid, 'SIGTERM'); } catch { /* it has ended by itself */ }
    await gone;
  };
  const ask = async (method, path, body) => {
    const answer = await fetch(`http://127.0.0.1:${port}${path}`, { method, body: body && JSON.stringify(body) });
    const { value } = await answer.json();
    if (!answer.ok) throw new Error(`${value.error}: ${value.message}`);
    return value;
  };
  try {
    await until('WebKit', 'the driver answers', () => ask('GET', '/status'));
    const options = { binary: MINI, args: ['--automation'] };
    const { sessionId } = await ask('POST', '/session', { capabilities: { alwaysMatch: { 'webkitgtk:browserOptions': options } } });
    const session = `/session/${sessionId}`;
    return hands('WebKit', {
      go: (url) => ask('POST', `${session}/url`, { url }),
      run: (script, args) => ask('POST', `${session}/execute/sync`, { script, args }),
      find: async (xpath) => (await ask('POST', `${session}/element`, { using: 'xpath', value: xpath }))[ELEMENT],
      click: (element) => ask('POST', `${session}/element/${element}/click`, {}),
      clear: (element) => ask('POST', `${session}/element/${element}/clear`, {}),
      keys: (element, text) => ask('POST', `${session}/element/${element}/value`, { text }),
      async end() {
        await ask('DELETE', session).catch(() => {});
        await end();
      },
    });
  } catch (error) {
    await end();
    throw error;
  }
}
