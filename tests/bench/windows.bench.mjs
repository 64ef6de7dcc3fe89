// Ten thousand boxes, sixty days of hourly readings: native and as wasm in this machine's V8, the best of several runs.
import { execFileSync } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { root } from '../browser/harness/site.mjs';
import { report } from './report.mjs';

const target = `${root}target/bench-windows`;
const build = (...more) => {
  const args = ['build', '--release', '--locked', '--manifest-path', `${root}tests/bench/windows/Cargo.toml`];
  execFileSync('cargo', [...args, '--target-dir', target, ...more], { stdio: 'inherit' });
};

build();
const [shelves, windows, reading, native] = JSON.parse(execFileSync(`${target}/release/windows`, { encoding: 'utf8' }));

build('--target', 'wasm32-unknown-unknown');
const bytes = await readFile(`${target}/wasm32-unknown-unknown/release/windows.wasm`);
const { instance } = await WebAssembly.instantiate(bytes);
let wasm = Infinity;
for (let run = 0; run < 9; run++) {
  const start = performance.now();
  instance.exports.main(0, 0);
  wasm = Math.min(wasm, performance.now() - start);
}
const round = (n, by) => Math.round(n * by) / by;
await report('windows', [{
  boxes: 10_000, shelves: 40, hourly_days: 60, shelves_ms: round(shelves, 10), windows_ms: round(windows, 10),
  one_reading_ms: round(reading, 1000), native_ms: round(native, 10), wasm_ms: round(wasm, 10), ratio: round(wasm / native, 100),
}]);
