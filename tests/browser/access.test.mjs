// By keys, by ear and on the smallest screens: where the focus goes, that it is never covered, and colours of the device's own.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { violations } from './harness/access.mjs';
import { reload, shot } from './harness/browser.mjs';
import { atBarn, bar, loadSeason, title, whole } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const focused = (page) => page.evaluate(() => {
  const { tagName, textContent } = document.activeElement;
  return `${tagName.toLowerCase()} ${tagName === 'BODY' ? '' : textContent.trim().replace(/\s+/g, ' ').slice(0, 60)}`.trim();
});
const focusIs = (page, name) => page.waitForFunction((name) => document.activeElement.matches(name), name);

for (const kind of ['phone', 'desktop']) {
  test(`the focus goes to the heading of a page that comes, and back to the row that was opened: ${kind}`, () => atBarn(server, { kind, hasTouch: true }, async ({ page, faults }) => {
    await loadSeason(page);
    await page.evaluate(() => { location.hash = '#/places'; });
    await title(page, 'Places').waitFor();
    await focusIs(page, 'h1');
    assert.equal(await focused(page), 'h1 Places');
    const row = page.locator('main a.row[href^="#/place/"]').nth(2);
    const href = await row.getAttribute('href');
    await row.focus();
    await page.keyboard.press('Enter');
    await page.waitForFunction((href) => location.hash === href, href);
    // On a desk the list stays, and so does the focus on its row: one walks on from there.
    const stays = await page.locator('.panes > .list').count() > 0;
    await focusIs(page, stays ? `a[href="${href}"]` : 'h1');
    await page.goBack();
    await focusIs(page, `a[href="${href}"]`);
    assert.deepEqual(faults, []);
  }));
}

test('the first key leads past everything to the page', () => atBarn(server, { kind: 'desktop', hasTouch: true }, async ({ page, faults }) => {
  await loadSeason(page);
  await reload(page);
  await title(page, 'Rounds').waitFor();
  await page.keyboard.press('Tab');
  assert.equal(await focused(page), 'button To the page');
  await shot(page, 'skip');
  await page.keyboard.press('Enter');
  assert.equal(await focused(page), 'h1 Rounds');
  assert.deepEqual(faults, []);
}));

test('what has the focus is never covered', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  const box = (await page.evaluate(async () => {
    location.hash = '#/boxes';
    for (;;) {
      const row = document.querySelector('a[href^="#/box/"]');
      if (row) return row.getAttribute('href');
      await new Promise((then) => setTimeout(then, 50));
    }
  }));
  const covered = [];
  for (const to of ['#/', box, `${box}/candle`, '#/animal/new', '#/settings']) {
    await page.evaluate((to) => { location.hash = to; }, to);
    await page.locator('main h1').first().waitFor();
    await focusIs(page, 'h1');
    for (let n = 0; n < 30; n++) {
      await page.keyboard.press('Tab');
      const hidden = await page.evaluate(() => {
        const active = document.activeElement;
        if (active === document.body || active.closest('.bar, .acts, .skip')) return null;
        const { left, right, top, bottom } = active.getBoundingClientRect();
        const [x, y] = [(left + right) / 2, Math.min((top + bottom) / 2, top + 20)];
        const met = document.elementFromPoint(x, y);
        const own = met && (active.contains(met) || met.contains(active) || met.closest('label')?.contains(active));
        return own ? null : `${active.tagName} "${active.textContent.trim().slice(0, 30)}" under ${met?.className || met?.tagName} at ${Math.round(y)}`;
      });
      if (hidden) covered.push(`${to}: ${hidden}`);
    }
  }
  assert.deepEqual(covered, []);
  assert.deepEqual(faults, []);
}));

test('on a screen of 320 × 200 everything can be reached', () => atBarn(server, { viewport: { width: 320, height: 200 } }, async ({ page, faults }) => {
  await loadSeason(page);
  for (const to of ['#/', '#/boxes', '#/animal/new', '#/settings']) {
    await page.evaluate((to) => { location.hash = to; }, to);
    await page.locator('main h1').first().waitFor();
    const { wide, fixed } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
      fixed: [...document.querySelectorAll('.bar, .acts')].filter((part) => part.checkVisibility() && getComputedStyle(part).position === 'fixed').map((part) => part.className),
    }));
    assert.deepEqual({ wide, fixed }, { wide: 0, fixed: [] }, to);
  }
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  await shot(page, 'smallest');
  assert.deepEqual(faults, []);
}));

for (const [name, options] of [['forced colours', { forcedColors: 'active' }], ['more contrast', { contrast: 'more' }]]) {
  test(`${name}: what is drawn is seen, and everybody can use it`, () => atBarn(server, { reducedMotion: 'reduce', colorScheme: 'dark', ...options }, async ({ page, faults }) => {
    await loadSeason(page);
    for (const to of ['#/', '#/boxes', '#/season']) {
      await page.evaluate((to) => { location.hash = to; }, to);
      await page.locator('main h1').first().waitFor();
      await whole(page);
      assert.deepEqual(await violations(page), [], to);
      await shot(page, `${name.replace(' ', '-')}-${to.slice(2) || 'rounds'}`);
    }
    const { quiet, ink, ground } = await page.evaluate(() => {
      const of = (name) => {
        const probe = document.body.appendChild(document.createElement('i'));
        probe.style.color = `var(${name})`;
        const { color } = getComputedStyle(probe);
        probe.remove();
        return color;
      };
      return { quiet: of('--quiet'), ink: of('--ink'), ground: of('--ground') };
    });
    // The browser lays a plate behind letters, unless it is told that their colours are meant.
    if (options.forcedColors) {
      const unread = await page.evaluate(() => [...document.querySelectorAll('.act.main, .scan, [aria-pressed=true]')].filter((part) => part.checkVisibility())
        .filter((part) => getComputedStyle(part).forcedColorAdjust !== 'none' || getComputedStyle(part).color === getComputedStyle(part).backgroundColor)
        .map((part) => part.textContent));
      assert.deepEqual(unread, []);
    }
    assert.equal(quiet, ink);
    assert.notEqual(ink, ground);
    assert.deepEqual(faults, []);
  }));
}

test('with letters of twice the size nothing is wider than the screen, and nothing that is tapped runs past its edge', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  const first = (from, start) => page.evaluate(async ([from, start]) => {
    location.hash = from;
    for (;;) {
      const row = [...document.querySelectorAll(`a[href^="${start}"]`)].find((a) => !a.hash.endsWith('/new'));
      if (row) return row.getAttribute('href');
      await new Promise((then) => setTimeout(then, 50));
    }
  }, [from, start]);
  const [box, animal] = [await first('#/boxes', '#/box/'), await first('#/animals', '#/animal/')];
  // As the browser's own text size does it.
  await page.evaluate(() => { document.documentElement.style.fontSize = '34px'; });
  const wrong = [];
  for (const to of ['#/', '#/boxes', box, `${box}/candle`, `${box}/water`, '#/pull', '#/animals', animal, '#/animal/new', '#/places', '#/babies', '#/season', '#/daybook', '#/settings', '#/more']) {
    await page.evaluate((to) => { location.hash = to; }, to);
    await page.locator('main h1').first().waitFor();
    await page.waitForTimeout(150);
    for (const line of await page.evaluate(() => {
      const over = document.documentElement.scrollWidth - document.documentElement.clientWidth;
      const past = [...document.querySelectorAll('a, button, input, select, textarea, h1, h2')]
        .filter((part) => part.checkVisibility() && part.getBoundingClientRect().width > 1 && !part.closest('.wide, :has(> .table), .tray'))
        .filter((part) => part.getBoundingClientRect().right > innerWidth + 1 || part.scrollWidth > part.clientWidth + 2 && part.matches('a, button'));
      return [...(over > 0 ? [`${over} px too wide`] : []), ...past.map((part) => `${part.tagName} ${part.className} "${(part.textContent || part.ariaLabel || '').trim().slice(0, 30)}"`)];
    })) wrong.push(`${to}: ${line}`);
    await shot(page, `twice-${to.replace(/[^a-z]+/gi, '-').slice(1, 14) || 'rounds'}`, { fullPage: true });
  }
  assert.deepEqual(wrong, []);
  assert.deepEqual(faults, []);
}));
