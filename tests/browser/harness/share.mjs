// Devices kept in step, as a keeper sets that up and looks after it.
import assert from 'node:assert/strict';
import { button, field, link, title } from './keeper.mjs';
import { PASSWORD, USER } from './store.mjs';
import { bundles, state } from './swap.mjs';

export const password = (page, name) => page.locator('input[type=password]').and(page.getByLabel(name));

export async function share(page) {
  await bundles(page);
  await link(page, /^Keep devices in step/).tap();
  await title(page, 'Keep devices in step').waitFor();
}

/** Fills in where the store is, and tries it. */
export async function tried(page, place, given = PASSWORD) {
  await share(page);
  await field(page, 'Address').fill(place.address);
  await field(page, 'User').fill(USER);
  await password(page, 'Password').fill(given);
  await button(page, 'Try it').tap();
  await page.getByText('Reach it and list it').waitFor();
}

export async function begun(page, place) {
  await tried(page, place);
  await keptInStep(page);
}

export async function keptInStep(page) {
  await button(page, 'Keep in step from now on').tap();
  await inStep(page);
}

/** Waits until it is; if that never comes, says what the page says instead. */
export async function inStep(page) {
  await page.getByText(/^In step(,| and)/).first().waitFor().catch(async (error) => {
    throw new Error(`not in step: ${(await page.locator('main').innerText()).slice(0, 1500)}`, { cause: error });
  });
}

/** The text that the code on the screen says too. */
export async function invitation(page) {
  await share(page);
  await page.getByText('Let another device in').tap();
  await page.getByRole('img', { name: 'The invitation as a code' }).waitFor();
  return page.getByRole('textbox', { name: 'Invitation' }).inputValue();
}

export async function joined(page, text) {
  await page.goto(text);
  await button(page, 'Join this barn').tap();
  await inStep(page);
}

/** Both look until they show the same. */
export async function agreed(...pages) {
  const states = async () => {
    const all = [];
    for (const page of pages) {
      await share(page);
      await button(page, 'Look now').tap();
      await inStep(page);
      await bundles(page);
      all.push(await state(page));
    }
    return all;
  };
  for (let tries = 0; ; tries++) {
    const all = await states();
    if (new Set(all).size === 1) return;
    assert.ok(tries < 10, `they differ: ${all.join(', ')}`);
  }
}
