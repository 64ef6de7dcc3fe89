// Numbers of a benchmark, for people on the terminal and, always in the same shape, for programs in target/bench/.
import { mkdir, writeFile } from 'node:fs/promises';
import { root } from '../browser/harness/site.mjs';

export function median(numbers) {
  const sorted = [...numbers].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** Prints the rows (objects of the same keys) and keeps them as target/bench/<name>.json. */
export async function report(name, rows) {
  console.log(`\n${name}`);
  console.table(rows);
  await mkdir(`${root}target/bench`, { recursive: true });
  await writeFile(`${root}target/bench/${name}.json`, `${JSON.stringify({ name, rows }, null, 2)}\n`);
}
