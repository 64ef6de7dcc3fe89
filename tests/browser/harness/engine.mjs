// What a keeper does in any browser that can be driven from outside: everything is found by what a person reads.
import { createServer } from 'node:net';
import { once } from 'node:events';

export async function freePort() {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address();
  server.close();
  await once(server, 'close');
  return port;
}

/** The key under which WebDriver and Marionette hand an element over. */
export const ELEMENT = 'element-6066-11e4-a52e-4f735466cecf';

/** Tries until something true comes back; `name` says where, for whoever reads the failure. */
export async function until(name, what, act, ms = 20_000) {
  const end = Date.now() + ms;
  let last;
  for (;;) {
    const got = await act().catch((error) => { last = error; });
    if (got) return got;
    if (Date.now() > end) throw new Error(`${name}: not in ${ms} ms: ${what}`, { cause: last });
    await new Promise((then) => setTimeout(then, 100));
  }
}

const labelled = (label, tag) => `//label[starts-with(normalize-space(.), '${label}')]//${tag} | //${tag}[@aria-label='${label}']`;

/**
 * A keeper's hands over a driver's few commands: `go(url)`, `run(script, args)`, `find(xpath)`, `click(element)`,
 * `clear(element)`, `keys(element, text)`, `end()`. Gives { go, run, wait, press, type, pick, close }.
 */
export function hands(name, driver) {
  const run = (script, ...args) => driver.run(`return (${script})(...arguments)`, args);
  const find = (xpath) => until(name, xpath, () => driver.find(xpath));
  return {
    go: driver.go,
    /** Runs a function in the page. */
    run,
    /** Runs it until it gives something true. */
    wait: (script, ...args) => until(name, String(script), () => run(script, ...args)),
    /** Clicks the link or button that is called `name`. */
    press: async (name) => driver.click(await find(`//*[self::a or self::button][normalize-space(.)='${name}']`)),
    /** Types into the field that is called `label`, in place of what stands there. */
    async type(label, text) {
      const element = await find(labelled(label, 'input'));
      await driver.clear(element);
      await driver.keys(element, text);
    },
    /** Chooses the first choice of the list called `label` that holds `part`; by script, since its list may be a window of the system's. */
    pick: (label, part) => until(name, `${label}: ${part}`, () => run((label, part) => {
      const list = [...document.querySelectorAll('label')].find((one) => one.textContent.startsWith(label))?.querySelector('select');
      const choice = [...list?.options ?? []].find((option) => option.text.includes(part));
      if (!choice) return false;
      list.value = choice.value;
      list.dispatchEvent(new Event('change', { bubbles: true }));
      return true;
    }, label, part)),
    close: driver.end,
  };
}
