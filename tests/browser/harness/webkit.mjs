// The second engine: WebKit, which is what every browser on an iPhone is. Driven by WebDriver's own HTTP commands.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:net';

const MINI = process.env.CANDLEMARK_MINIBROWSER ?? `/usr/lib/${process.arch === 'arm64' ? 'aarch64' : 'x86_64'}-linux-gnu/webkit2gtk-4.1/MiniBrowser`;

async function freePort() {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address();
  server.close();
  await once(server, 'close');
  return port;
}

/** The key under which WebDriver hands an element over. */
const ELEMENT = 'element-6066-11e4-a52e-4f735466cecf';

/** Opens WebKit under a screen of its own. Gives { go, run, wait, press, type, pick, close }. */
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
  const until = async (what, act, ms = 20_000) => {
    const end = Date.now() + ms;
    for (;;) {
      const got = await act().catch(() => undefined);
      if (got) return got;
      if (Date.now() > end) throw new Error(`WebKit: not in ${ms} ms: ${what}`);
      await new Promise((then) => setTimeout(then, 100));
    }
  };
  try {
    await until('the driver answers', () => ask('GET', '/status'));
    const options = { binary: MINI, args: ['--automation'] };
    const { sessionId } = await ask('POST', '/session', { capabilities: { alwaysMatch: { 'webkitgtk:browserOptions': options } } });
    const session = `/session/${sessionId}`;
    const run = (script, ...args) => ask('POST', `${session}/execute/sync`, { script: `return (${script})(...arguments)`, args });
    // Found by what a person reads; looked for until it is there.
    const find = (xpath) => until(xpath, () => ask('POST', `${session}/element`, { using: 'xpath', value: xpath })).then((found) => found[ELEMENT]);
    const act = async (xpath, what, body = {}) => ask('POST', `${session}/element/${await find(xpath)}/${what}`, body);
    const labelled = (label, tag) => `//label[starts-with(normalize-space(.), '${label}')]//${tag} | //${tag}[@aria-label='${label}']`;
    return {
      /** Clicks the link or button that is called `name`. */
      press: (name) => act(`//*[self::a or self::button][normalize-space(.)='${name}']`, 'click'),
      /** Types into the field that is called `label`, in place of what stands there. */
      async type(label, text) {
        await act(labelled(label, 'input'), 'clear');
        await act(labelled(label, 'input'), 'value', { text });
      },
      /** Chooses the first choice of the list called `label` that holds `part`; by script, since its list is a window of the system's. */
      pick: (label, part) => until(`${label}: ${part}`, () => run((label, part) => {
        const list = [...document.querySelectorAll('label')].find((one) => one.textContent.startsWith(label))?.querySelector('select');
        const choice = [...list?.options ?? []].find((option) => option.text.includes(part));
        if (!choice) return false;
        list.value = choice.value;
        list.dispatchEvent(new Event('change', { bubbles: true }));
        return true;
      }, label, part)),
      go: (url) => ask('POST', `${session}/url`, { url }),
      /** Runs a function in the page. */
      run,
      /** Runs it until it gives something true. */
      wait: (script, ...args) => until(String(script), () => run(script, ...args)),
      async close() {
        await ask('DELETE', session).catch(() => {});
        await end();
      },
    };
  } catch (error) {
    await end();
    throw error;
  }
}
