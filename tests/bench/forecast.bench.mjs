// One season's forecast of 400 clutches, and durations learned from 400: native and as wasm in this machine's V8, the best of several runs each.
import { execFileSync } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { root } from '../browser/harness/site.mjs';
import { report } from './report.mjs';

const target = `${root}target/bench-forecast`;
const build = (...more) => {
  const args = ['build', '--release', '--locked', '--manifest-path', `${root}tests/bench/forecast/Cargo.toml`];
  execFileSync('cargo', [...args, '--target-dir', target, ...more], { stdio: 'inherit' });
};

build();
// Of each: by the clock on the wall, and of processor.
const [forecast, rates, durations] = JSON.parse(execFileSync(`${target}/release/forecast`, { encoding: 'utf8' }));

build('--target', 'wasm32-unknown-unknown');
const bytes = await readFile(`${target}/wasm32-unknown-unknown/release/forecast.wasm`);
const { instance } = await WebAssembly.instantiate(bytes);
let wasm = Infinity;
for (let run = 0; run < 9; run++) {
  const start = performance.now();
  instance.exports.main(0, 0);
  wasm = Math.min(wasm, performance.now() - start);
}
const round = (n, by) => Math.round(n * by) / by;
await report('forecast', [{
  clutches: 400, native_ms: round(forecast[0], 10), processor_ms: round(forecast[1], 10), of_it_rates_ms: round(rates[1], 10),
  durations_ms: round(durations[1], 10), wasm_ms: round(wasm, 10), ratio: round(wasm / forecast[0], 100),
}]);
