// Entries by light: how many codes and seconds an empty phone takes for 100 and 1,000 entries, with nothing missed and with three
// of ten codes missed. Two browsers on one machine draw and read at once, so seconds say more of a quiet machine.
import { byLight, asks, chance, looks, sideBySide } from '../browser/harness/light.mjs';
import { button } from '../browser/harness/keeper.mjs';
import { site } from '../browser/harness/site.mjs';
import { history, keep } from './history.mjs';
import { report } from './report.mjs';

const server = await site();
const rows = [];
try {
  const past = await history(1000);
  for (const entries of [100, 1000]) {
    const lines = past.lines.slice(0, entries);
    await sideBySide(server, async (one, two) => {
      await keep(one.page, { lines });
      for (const share of [0, 0.3]) {
        await byLight(one);
        await byLight(two);
        const offer = one.page.getByText(/^The other device lacks /);
        await asks(two, one, offer);
        const [, least] = (await offer.innerText()).match(/: (\d+) codes?/);
        await button(two.page, 'The other one shows codes now: look').tap();
        await button(one.page, 'Show the codes').tap();
        const miss = chance(entries + 1);
        const whole = button(two.page, 'Take it in').waitFor();
        const { shown, ms } = await looks(two, one, whole, { lost: () => miss() < share });
        rows.push({ entries: lines.length, missed: `${100 * share} %`, least: Number(least), shown, seconds: +(ms / 1000).toFixed(1), 'at 12 a second': +(shown / 12).toFixed(1) });
        await button(two.page, 'Leave it').tap();
      }
    });
  }
} finally {
  await server.stop();
}
await report('light', rows);
