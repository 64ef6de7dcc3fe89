// Can everybody use the page: axe-core's rules for WCAG 2.2 A and AA, and targets large enough for a gloved hand.
import assert from 'node:assert/strict';
import axe from 'axe-core';
import { settled, shot } from './browser.mjs';

const ALL = { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] };
/** What depends on the theme. */
export const COLOURS = { type: 'rule', values: ['color-contrast', 'link-in-text-block'] };

/** Violations as lines of text; empty when there are none. */
export async function violations(page, runOnly = ALL) {
  await settled(page);
  if (!await page.evaluate(() => 'axe' in window)) await page.evaluate(axe.source);
  return page.evaluate(async (runOnly) => {
    const found = await window.axe.run(document, { runOnly });
    return found.violations.flatMap(({ id, help, nodes }) =>
      nodes.map((node) => `${id}: ${help}: ${node.target.join(' ')}: ${node.any.concat(node.all).map((why) => why.message).join('; ')}`));
  }, runOnly);
}

/** Visible targets with a side under `least` CSS pixels. A link within a sentence is let off, as WCAG 2.5.8 does. */
export async function smallTargets(page, least = 44) {
  // What has not faded in counts as not there.
  await settled(page);
  return page.evaluate((least) => {
    const targets = document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [role=tab], [role=radio], [role=checkbox], [role=switch], [tabindex]:not([tabindex="-1"])');
    const small = [];
    for (const target of targets) {
      if (!target.checkVisibility({ opacityProperty: true, visibilityProperty: true })) continue;
      if (target.matches('a') && getComputedStyle(target).display === 'inline' && target.parentElement.matches('p, li, small, td')) continue;
      // What is hidden behind its label is pressed by the label.
      const pressed = target.matches('[type=checkbox], [type=radio], [type=file]') ? target.closest('label') ?? target : target;
      // A row's link is stretched over its row, which is then what a finger meets.
      const after = getComputedStyle(pressed, '::after');
      const stretched = after.content !== 'none' && after.position === 'absolute' && after.inset === '0px';
      const box = (stretched ? pressed.offsetParent : pressed).getBoundingClientRect();
      // The focus target for a screen reader only (a skip link) is a pixel wide until it has the focus.
      if (box.width <= 1 && box.height <= 1) continue;
      if (box.width < least - 0.5 || box.height < least - 0.5) {
        small.push(`${target.tagName.toLowerCase()} "${(target.getAttribute('aria-label') ?? target.textContent).trim().slice(0, 40)}": ${box.width.toFixed(0)} × ${box.height.toFixed(0)}`);
      }
    }
    return small;
  }, least);
}

/** Names that more than one button has, or more than one field of a group: read aloud, nobody can tell them apart. (A link is
 *  told apart by the row it opens.) */
export async function namesakes(page) {
  const lines = (await page.locator('main').ariaSnapshot()).split('\n');
  const names = [];
  const groups = [];
  for (const line of lines) {
    const [, deep, role, name] = /^(\s*)- '?(\w+) "((?:[^"\\]|\\.)*)"/.exec(line) ?? [];
    if (!role) continue;
    while (groups.length > 0 && groups.at(-1).deep >= deep.length) groups.pop();
    if (['group', 'row', 'listitem', 'radiogroup'].includes(role)) groups.push({ deep: deep.length, name });
    if (role === 'button') names.push(name);
    if (['textbox', 'combobox', 'searchbox', 'checkbox', 'spinbutton'].includes(role)) names.push([...groups.map((group) => group.name), name].join(': '));
  }
  return [...new Set(names.filter((name, at) => names.indexOf(name) !== at))];
}

/** No violation, no small target, nothing wider than the screen; its picture is taken. */
export async function fits(page, what) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.deepEqual([...await violations(page), ...await smallTargets(page), ...(wide > 0 ? [`${wide} px too wide`] : [])], [], what);
  await shot(page, what, { fullPage: true });
}
