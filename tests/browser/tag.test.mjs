// A label's link on an NFC tag: Web NFC stands as a stub at the browser's edge, by its own names (`NDEFReader.write`, W3C Web NFC draft).
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { reload } from './harness/browser.mjs';
import { atShelf, button, link, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** A phone with NFC: a tag is held to it when `window.held` is called, with the error it answers, if any. */
function phone() {
  window.written = [];
  window.NDEFReader = class {
    write(message, { signal }) {
      return new Promise((done, failed) => {
        signal.addEventListener('abort', () => failed(new DOMException('', 'AbortError')));
        window.held = (error) => {
          if (error) return failed(new DOMException('', error));
          window.written.push(message.records);
          return done();
        };
      });
    }
  };
}

test('a shelf\'s link is written to a tag that is held to the phone, and opens it', () => atShelf(server, async ({ context, page }) => {
  const place = page.url().split('/').pop();
  await link(page, 'Print label').tap();
  await title(page, 'Label').waitFor();
  assert.equal(await page.getByText('NFC tag', { exact: true }).count(), 0, 'nothing is offered where the browser has no NFC');
  await context.addInitScript(phone);
  await reload(page);
  await page.getByText('NFC tag', { exact: true }).tap();
  // Given up before a tag came, then written.
  await button(page, 'Write a tag').tap();
  await page.getByText('Hold the tag to the back of the phone.').waitFor();
  await button(page, 'Stop').tap();
  await button(page, 'Write a tag').tap();
  for (const [error, said] of [['NotAllowedError', /allow NFC for this site/], ['NotReadableError', /NFC is off/], ['NetworkError', /hold it still/]]) {
    await page.getByText('Hold the tag to the back of the phone.').waitFor();
    await page.evaluate((error) => window.held(error), error);
    await page.getByRole('status').getByText(said).waitFor();
    await button(page, 'Write a tag').tap();
  }
  await page.getByText('Hold the tag to the back of the phone.').waitFor();
  await page.evaluate(() => window.held());
  await page.getByText('Tag written.').waitFor();
  const [[record], ...more] = await page.evaluate(() => window.written);
  assert.equal(more.length, 0);
  assert.equal(record.recordType, 'url');
  assert.ok(record.data.startsWith(server.url), record.data);
  await page.goto(record.data);
  await title(page, /Shelf 1/).waitFor();
  assert.equal(page.url().split('/').pop(), place);
}));
