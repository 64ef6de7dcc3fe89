// What the product's boot.js does to start, and nothing else.
const { js, wasm } = document.querySelector('script[data-js]').dataset;
const module = await import(new URL(js, document.baseURI).href);
await module.default({ module_or_path: new URL(wasm, document.baseURI).href });
document.getElementById('start').remove();
