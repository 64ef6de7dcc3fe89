// The same start, the same weeks without a network and the same shared folder in WebKit, the engine of every browser on an iPhone, and in Firefox.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { seat, visit } from './harness/browser.mjs';
import { firefox } from './harness/firefox.mjs';
import { addAnimal, button } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { PASSWORD, USER, store } from './harness/store.mjs';
import { webkit } from './harness/webkit.mjs';

for (const [name, open] of [['WebKit', webkit], ['Firefox', firefox]]) {
  test(`${name}: starts, keeps itself whole, and loads again with the server stopped`, async () => {
    const server = await site();
    const browser = await open();
    const drawn = () => browser.wait(() => document.readyState === 'complete' && !document.getElementById('start'));
    try {
      await browser.go(server.url);
      await drawn();
      await browser.wait(() => document.documentElement.dataset.offline === 'ready' && !!navigator.serviceWorker.controller);
      const shown = await browser.run(() => document.body.innerText.trim());
      assert.ok(shown.length > 0);
      await server.stop();
      await browser.go(`${server.url}?again#/scan`);
      await drawn();
      assert.ok((await browser.run(() => document.body.innerText.trim())).length > 0);
    } finally {
      await browser.close();
      await server.stop();
    }
  });

  test(`${name}: a clutch pulled is there after the server stops and the page loads again`, async () => {
    const server = await site();
    const browser = await open();
    const { press, type, pick, wait } = browser;
    const title = (name) => wait((name) => document.querySelector('h1')?.textContent.startsWith(name), name);
    try {
      await browser.go(`${server.url}#/animal/new`);
      await type('Name', 'Bel');
      await press('Save');
      await title('Bel');
      await browser.go(`${server.url}#/place/new`);
      await type('Name', 'Incubator A');
      await type('Set temperature', '27.8 °C');
      await press('Save');
      await title('Incubator A');
      await browser.go(`${server.url}#/pull`);
      await pick('Dam', 'Bel');
      await type('Good', '7');
      await pick('Shelf', 'Shelf 1');
      await type('Box weight, lid on', '1486');
      await press('Save, then label');
      await title('Label');
      const box = (await browser.run(() => location.hash)).replace('#/label/filling/', '#/box/');
      await wait(() => document.documentElement.dataset.offline === 'ready' && !!navigator.serviceWorker.controller);
      await server.stop();
      await browser.go(`${server.url}?again${box}`);
      await wait(() => document.readyState === 'complete' && !!document.querySelector('h1'));
      const shown = await browser.run(() => document.querySelector('main').innerText.replace(/\s+/g, ' '));
      for (const part of [/7 in/, /Bel/, /1486 g/, /Incubator A/]) assert.match(shown, part);
    } finally {
      await browser.close();
      await server.stop();
    }
  });

  test(`${name}: agrees with another phone through a web folder, and the other way round`, async () => {
    const server = await site();
    const place = await store(new URL(server.url).origin);
    const [browser, other] = [await open(), await seat()];
    const { press, type, wait } = browser;
    const inStep = () => wait(() => /^In step(,| and)/m.test(document.querySelector('main')?.innerText));
    try {
      await browser.go(`${server.url}#/animal/new`);
      await type('Name', 'Bel');
      await press('Save');
      await wait(() => document.querySelector('h1')?.textContent.startsWith('Bel'));
      await browser.go(`${server.url}#/share`);
      await type('Address', place.address);
      await type('User', USER);
      await type('Password', PASSWORD);
      await press('Try it');
      await wait(() => document.body.innerText.includes('It works.'));
      await press('Keep in step from now on');
      await inStep();
      await browser.run(() => document.querySelectorAll('main details').forEach((one) => { one.open = true; }));
      await wait(() => !!document.querySelector('main textarea'));
      const invitation = await browser.run(() => document.querySelector('main textarea').value);

      const { page } = other;
      await visit(page, server.url);
      await page.goto(invitation);
      await button(page, 'Join this barn').tap();
      await page.getByText(/^In step(,| and)/).first().waitFor();
      await addAnimal(page, 'Ash', 'A01');
      await page.goto(`${server.url}#/share`);
      await button(page, 'Look now').tap();
      await page.getByText('In step, just now').waitFor();

      await press('Look now');
      await browser.go(`${server.url}#/animals`);
      await wait(() => document.body.innerText.includes('Ash'));
      assert.match(await browser.run(() => document.body.innerText), /Bel/);
    } finally {
      await browser.close();
      await other.close();
      await place.stop();
      await server.stop();
    }
  });
}
