// People outside the barn, as a keeper adds them.
import { bar, button, field, link, said, title } from './keeper.mjs';

export async function wishes(page) {
  await bar(page, 'More').tap();
  await link(page, /^Waiting list and holds/).tap();
  await title(page, 'Waiting list and holds').waitFor();
}

/** Adds somebody; two acts. Their page stays open. */
export async function somebody(page, mark, name, reach = 'at the third farm') {
  await wishes(page);
  await button(page, 'Add somebody').tap();
  await title(page, mark).waitFor();
  await field(page, 'Name').fill(name);
  await field(page, 'How to reach them').fill(reach);
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
}

/** The page of somebody whose row in the list reads so. */
export async function toSomebody(page, named) {
  await wishes(page);
  await link(page, named).tap();
  await title(page, named.slice(0, 5)).waitFor();
}
