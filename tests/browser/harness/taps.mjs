// Counts what a keeper's hand does: a touch or click is one, digits typed into one field are one, choosing from a
// list is two (open, choose), a key that presses a button is one. A touch that turns into scrolling is none.

/** Starts counting on every page of the context, across loads. */
export async function taps(context) {
  let count = 0;
  await context.exposeBinding('candlemarkTap', (_, by) => { count += by; });
  const listen = () => {
    const add = (by) => window.candlemarkTap(by);
    const writes = (element) => element?.matches?.('textarea, input:not([type=button],[type=submit],[type=checkbox],[type=radio],[type=range],[type=file])');
    let typing = null;
    const on = (name, act) => window.addEventListener(name, (event) => event.isTrusted && act(event), { capture: true, passive: true });
    on('pointerdown', (event) => {
      if (!event.isPrimary) return;
      typing = null;
      // A tap that the harness makes again was quicker than a person's.
      if (!window.lastTap?.again) add(1);
    });
    on('pointercancel', (event) => event.isPrimary && add(-1));
    on('input', (event) => {
      if (!writes(event.target) || typing === event.target) return;
      typing = event.target;
      add(1);
    });
    on('keydown', (event) => (event.key === 'Enter' || (event.key === ' ' && !writes(event.target))) && add(1));
    window.addEventListener('change', (event) => event.target.matches?.('select') && add(2), { capture: true });
  };
  await context.addInitScript(listen);
  for (const page of context.pages()) await page.evaluate(listen);
  return {
    /** Taps since the start or the last `reset()`. */
    async count() {
      // A round trip to each page, so that what it has sent has come.
      for (const page of context.pages()) await page.evaluate(() => new Promise((then) => setTimeout(then)));
      return count;
    },
    async reset() {
      await this.count();
      count = 0;
    },
  };
}
