// The same start and the same weeks without a network in WebKit, the engine of every browser on an iPhone, and in Firefox.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { firefox } from './harness/firefox.mjs';
import { site } from './harness/site.mjs';
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
}
