// Two phones that swap bundles by hand.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { seat, visit } from './browser.mjs';
import { bar, button, chooser, link, said, title } from './keeper.mjs';

/** Runs `act` with two phones, each with a profile of its own. */
export async function twoPhones(server, act) {
  const one = await seat();
  const two = await seat();
  try {
    await visit(one.page, server.url);
    await visit(two.page, server.url);
    await act(one, two);
    assert.deepEqual([...one.faults, ...two.faults], []);
  } finally {
    await one.close();
    await two.close();
  }
}

export async function bundles(page) {
  await bar(page, 'More').tap();
  await link(page, /^Backup and sharing/).tap();
  await title(page, 'Backup and sharing').waitFor();
}

export const state = (page) => page.locator('[data-digest]').getAttribute('data-digest');

/** Two taps: make it, hand it over. Gives the file's bytes. */
export async function made(page, what) {
  await bundles(page);
  if (what) await button(page, what).tap();
  await button(page, 'Make a bundle').tap();
  return handedOver(page, /^barn-\d{4}-\d\d-\d\d\.zip$/);
}

export async function handedOver(page, name) {
  const arrives = page.waitForEvent('download');
  await button(page, 'Send or save it').tap();
  const download = await arrives;
  assert.match(download.suggestedFilename(), name);
  return readFile(await download.path());
}

export const opener = (page) => chooser(page, 'Open a bundle');
export const file = (buffer, name = 'barn.zip') => ({ name, mimeType: 'application/zip', buffer });

export async function opened(page, buffer) {
  await bundles(page);
  await opener(page).setInputFiles(file(buffer));
}

export async function taken(page, buffer, acts) {
  await opened(page, buffer);
  await button(page, 'Take it in').tap();
  await said(page, acts);
}
