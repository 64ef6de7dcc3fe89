// Every page in every theme, with the season in it: usable by everybody, and no fault on the way.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { COLOURS, namesakes, smallTargets, violations } from './harness/access.mjs';
import { shot, visit } from './harness/browser.mjs';
import { atBarn, bar, button, link, loadSeason, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** One address of each page there is, as a keeper's taps lead to it in the season. */
async function pages(page) {
  const found = { rounds: '#/', scan: '#/scan', boxes: '#/boxes', pull: '#/pull', found: '#/found', animals: '#/animals', 'animal-new': '#/animal/new', places: '#/places', where: '#/where', many: '#/animals/many', pairings: '#/pairings', 'pairing-new': '#/pairing/new', doubles: '#/doubles', 'place-new': '#/place/new', 'blank-labels': '#/blank-labels', labels: '#/labels', printer: '#/printer', walks: '#/walk', 'walk-move': '#/walk/move', stock: '#/walk/stock', daybook: '#/daybook', more: '#/more', season: '#/season', 'species-all': '#/species', species: '#/species/pantherophis-guttatus', 'species-by-temperature': '#/species/eublepharis-macularius', settings: '#/settings', lost: '#/nowhere', damaged: '#/B/7K3Q!', 'another-barn': '#/B/7K3QX2M9' };
  const first = async (from, start) => {
    await visit(page, server.url, from);
    await page.locator(`a[href^="${start}"]`).first().waitFor();
    return page.evaluate((start) => [...document.querySelectorAll(`a[href^="${start}"]`)].map((a) => a.getAttribute('href')).find((href) => !href.endsWith('/new') && href.split('/').length === 3), start);
  };
  found.box = await first('#/boxes', '#/box/');
  for (const act of ['candle', 'water', 'pipped', 'out', 'move', 'note', 'eggs', 'setup', 'taken']) found[`box-${act}`] = `${found.box}/${act}`;
  found.label = found.box.replace('#/box/', '#/label/filling/');
  found.clutch = await first(found.box, '#/clutch/');
  found.animal = await first('#/animals', '#/animal/');
  found['animal-edit'] = `${found.animal}/edit`;
  found.photos = `${found.animal}/photos`;
  found.swap = `${found.animal}/swap`;
  found['clutch-edit'] = `${found.clutch}/edit`;
  found.measure = `${found.clutch}/measure`;
  found['eggs-later'] = `${found.clutch}/later`;
  found.place = await first('#/places', '#/place/');
  found['place-log'] = `${found.place}/log`;
  Object.assign(found, { babies: '#/babies', wishes: '#/wishes', ahead: '#/ahead' });
  found['babies-clutch'] = found.clutch.replace('#/clutch/', '#/babies/');
  found.hatch = `${found.box}/hatch`;
  for (const act of ['meal', 'leave', 'papers']) found[act] = `${found.animal}/${act}`;
  found.feed = found.place.replace('#/place/', '#/feed/');
  found.contact = await first('#/wishes', '#/contact/');
  found.genes = found.animal.replace('#/animal/', '#/genes/');
  await visit(page, server.url, found.clutch);
  found.egg = await page.locator('a[href^="#/egg/"]').first().getAttribute('href');
  found.outcomes = await page.locator('a[href^="#/outcomes/"]').first().getAttribute('href');
  found.looks = found.clutch.replace('#/clutch/', '#/looks/');
  Object.assign(found, { traits: '#/traits', plan: '#/plan/pantherophis-guttatus', trait: '#/trait/corn-ultra', 'trait-new': '#/trait/new/pantherophis-guttatus' });
  return found;
}

async function theme(page, name) {
  await visit(page, server.url, '#/settings');
  await button(page, name).tap();
  await page.waitForFunction((button) => [...document.querySelectorAll('[aria-pressed=true]')].some((b) => b.textContent === button), name);
}

for (const name of ['Paper', 'Barn', 'Night']) {
  test(`every page can be used by everybody, with a gloved hand too, and none wider than a phone: ${name}`, () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
    await loadSeason(page);
    const all = await pages(page);
    await theme(page, name);
    const wrong = [];
    for (const [what, address] of Object.entries(all)) {
      await page.goto(server.url + address);
      await page.locator('h1:visible, .empty:visible').first().waitFor();
      // Who reads by ear or by keys goes on from the page that came.
      await page.waitForFunction(() => !document.querySelector('main h1') || document.activeElement !== document.body, undefined, { timeout: 10_000 })
        .catch(() => wrong.push(`${what}: the focus is nowhere`));
      for (const line of await violations(page, name === 'Paper' ? undefined : COLOURS)) wrong.push(`${what}: ${line}`);
      for (const line of await smallTargets(page)) wrong.push(`${what}: small: ${line}`);
      if (name === 'Paper') for (const line of await namesakes(page)) wrong.push(`${what}: more than one is called “${line}”`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) wrong.push(`${what}: ${wide} px wider than the phone`);
      // What is fixed to the screen makes no page wider: it runs past the edge unseen.
      const past = await page.evaluate(() => [...document.querySelectorAll('.acts > *, .bar > *, .toast > *')].filter((part) => part.getClientRects().length).filter((part) => part.getBoundingClientRect().left < 0 || part.getBoundingClientRect().right > innerWidth).map((part) => part.textContent));
      if (past.length > 0) wrong.push(`${what}: past the edge: ${past.join(', ')}`);
      await shot(page, `${name.toLowerCase()}-${what}`);
    }
    assert.deepEqual(wrong, []);
    assert.deepEqual(faults, []);
  }));
}

test('on a wide screen a record stands beside its list, and on a phone alone', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await page.setViewportSize({ width: 1280, height: 800 });
  for (const [place, start] of [['Boxes', '#/box/'], ['Animals', '#/animal/']]) {
    await bar(page, place).click();
    const rows = page.locator(`.panes > .list a[href^="${start}"]`);
    await rows.nth(4).click();
    const chosen = page.locator('.panes > .list .row[aria-current=true]');
    await chosen.waitFor();
    const [list, record] = await Promise.all([page.locator('.panes > .list').boundingBox(), page.locator('.panes h1').boundingBox()]);
    assert.ok(record.x >= list.x + list.width, `${place}: the record at ${record.x}, the list up to ${list.x + list.width}`);
    assert.deepEqual(await violations(page), []);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.equal(wide, 0);
    await shot(page, `wide-${place.toLowerCase()}`);
    // Turned upright, the list goes; the record stays.
    const name = await page.locator('.panes h1').innerText();
    await page.setViewportSize({ width: 390, height: 844 });
    await page.locator('.panes > .list').waitFor({ state: 'detached' });
    assert.equal(await page.locator('.panes h1').innerText(), name);
    await page.setViewportSize({ width: 1280, height: 800 });
  }
  assert.deepEqual(faults, []);
}));

test('back and forth between all pages, twice, without a fault', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  const all = Object.values(await pages(page));
  for (const address of all) await page.evaluate((hash) => { location.hash = hash; }, address);
  for (let round = 0; round < 2; round += 1) {
    for (let i = 0; i < 12; i += 1) await page.goBack();
    for (let i = 0; i < 12; i += 1) await page.goForward();
  }
  // Faster than a page can be drawn: what is left half done must not speak up later.
  await page.evaluate(async (list) => {
    for (const hash of [...list, ...list]) {
      location.hash = hash;
      await new Promise((then) => setTimeout(then, 15));
    }
  }, all);
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  await page.waitForTimeout(500);
  assert.deepEqual(faults, []);
}));
