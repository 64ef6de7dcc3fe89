// Fills in the sheet that is shown when the app broke: what stood in the page's fields, so that it is not lost, and a
// way to copy that and what broke. It holds no words of its own.

const at = (id) => document.getElementById(id);
const TEXTS = ['text', 'search', 'number', 'date', 'time', 'tel', 'url', 'email'];

/** What a field is called on the page: its label's first words, or what is read out for it. */
function label(field) {
  const title = field.labels?.[0]?.querySelector('span:not(.unit-box)') ?? field.labels?.[0];
  return (field.getAttribute('aria-label') ?? title?.textContent ?? '').trim();
}

const fields = [...document.querySelectorAll('input, textarea')].filter((field) =>
  (field.localName === 'textarea' || TEXTS.includes(field.type)) && !('secret' in field.dataset) && field.value.trim() !== '');
at('broken-typed').textContent = fields.map((field) => `${label(field)}: ${field.value}`).join('\n');
at('broken-had').hidden = fields.length === 0;

at('broken-copy').onclick = async () => {
  const parts = [at('broken-had'), at('broken-why')].filter((part) => !part.hidden);
  try {
    await navigator.clipboard.writeText(parts.map((part) => part.innerText).join('\n\n'));
    at('broken-copied').hidden = false;
  } catch {
    // Not allowed to write there: it is marked, so that it can be copied by hand.
    getSelection().setBaseAndExtent(parts[0], 0, at('broken-why'), at('broken-why').childNodes.length);
  }
};
