// On every page: all fields are filled in, and all of it stands again after the page was loaded anew and after a detour. Then
// all that may be chosen is chosen: nothing is done by that, so filling it in again does nothing either.
import { reload } from '../harness/browser.mjs';
import { PAGES } from './monkey.mjs';
import { fill, go, still } from './stands.mjs';

/** Runs in the page: what stands in its fields, as lines of name and text. */
function standing() {
  const name = (field) => field.ariaLabel ?? field.labels?.[0]?.querySelector(':scope > span')?.textContent ?? field.labels?.[0]?.textContent ?? '';
  return [...document.querySelectorAll('#page :is(input:not([type=checkbox], [type=radio], [type=file], [type=password], [data-secret]), textarea)')].map((field) => `${name(field)}: ${field.value}`);
}

/** What does not stand again, once there was time for it. */
async function missing(page, typed, standing) {
  const end = Date.now() + 3000;
  for (;;) {
    const now = await page.evaluate(standing);
    const gone = typed.filter((line) => {
      const at = now.indexOf(line);
      if (at >= 0) now.splice(at, 1);
      return at < 0;
    });
    if (gone.length === 0 || Date.now() > end) return gone;
    await page.waitForTimeout(50);
  }
}

/** Runs in the page: chooses all that may be chosen and is kept for it. How many there were. */
async function choose() {
  const kept = [...document.querySelectorAll('#page :is(select, input[type=checkbox], input[type=radio], button.chip[aria-pressed]:not(.torch))')].filter((control) => !control.closest('[data-now]'));
  let chosen = 0;
  for (const control of kept) {
    if (!control.isConnected || control.disabled) continue;
    chosen += 1;
    // As a person does: once what the last one brought is there.
    await new Promise((then) => setTimeout(then));
    if (!control.matches('select')) { control.click(); continue; }
    control.selectedIndex = control.options.length - 1;
    for (const kind of ['input', 'change']) control.dispatchEvent(new Event(kind, { bubbles: true }));
  }
  return chosen;
}

/** Runs in the page: how all stands that may be chosen, as lines of name and state. */
function chosen() {
  const kept = document.querySelectorAll('#page :is(select, input[type=checkbox], input[type=radio], button.chip[aria-pressed]:not(.torch))');
  const name = (control) => (control.matches('button') ? `${control.closest('fieldset, [role=group]')?.querySelector('legend')?.textContent ?? ''} ${control.ariaLabel ?? control.textContent}` : control.ariaLabel ?? control.labels?.[0]?.querySelector(':scope > span')?.textContent ?? control.labels?.[0]?.textContent ?? '');
  const state = (control) => (control.matches('button') ? control.ariaPressed : control.matches('select') ? control.value : control.checked);
  return [...kept].filter((control) => !control.closest('[data-now]')).map((control) => `${name(control)}: ${state(control)}`);
}

const where = (page) => page.evaluate(() => location.hash.slice(1) || '/');

/** `page`: the season, with the monkey's own things in it. */
export async function wander(page) {
  const ids = await page.evaluate(() => window.monkey.ids());
  const lost = [];
  const done = [];
  let fields = 0;
  let choices = 0;
  const anew = async () => {
    await reload(page);
    await still(page);
  };
  for (const [, address] of PAGES) {
    if ([...address.matchAll(/\{(\w+)\}/g)].some(([, kind]) => !ids[kind]?.length)) continue;
    const to = address.replace(/\{(\w+)\}/g, (_, kind) => ids[kind][Math.floor(ids[kind].length / 2)]);
    await go(page, to);
    if (await page.evaluate(fill) > 0) {
      await still(page);
      const at = await where(page);
      const typed = (await page.evaluate(standing)).filter((line) => !line.endsWith(': '));
      fields += typed.length;
      await anew();
      for (const what of await missing(page, typed, standing)) lost.push(`${to} after a reload: ${what}`);
      await go(page, at === '/doubles' ? '/more' : '/doubles');
      await page.evaluate(() => history.back());
      await page.waitForFunction((at) => (location.hash.slice(1) || '/') === at, at);
      await still(page);
      for (const what of await missing(page, typed, standing)) lost.push(`${to} after a detour: ${what}`);
    }
    // What is chosen is looked at on a step of its own.
    await go(page, to === '/doubles' ? '/more' : '/doubles');
    await go(page, to);
    const at = await where(page);
    const before = await page.evaluate(() => window.monkey.look([]));
    choices += await page.evaluate(choose);
    await page.waitForTimeout(30);
    const { written, prefs } = await page.evaluate(() => window.monkey.look([]));
    if (await where(page) !== at) done.push(`${to}: a choice leads to ${await where(page)}`);
    if (written.some(([store]) => ['entries', 'people'].includes(store))) done.push(`${to}: a choice is saved at once`);
    if (prefs !== before.prefs) done.push(`${to}: a choice is a preference at once`);
    if (await where(page) === at) {
      const choice = await page.evaluate(chosen);
      await anew();
      for (const what of await missing(page, choice, chosen)) lost.push(`${to} after a reload: ${what}`);
    }
  }
  return { lost, done, fields, choices };
}
