// Serves a built folder as a static host would, by `cargo xtask host`, and can stop: that is what offline means here.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../../../', import.meta.url));

/** The folder under test: what `cargo xtask build` made, or CANDLEMARK_DIST. */
export const dist = process.env.CANDLEMARK_DIST ?? `${root}dist`;

const [program, ...first] = process.env.CANDLEMARK_XTASK
  ? [process.env.CANDLEMARK_XTASK]
  : ['cargo', 'run', '--quiet', '--package', 'xtask', '--'];

/** Runs an xtask command to its end. */
export async function xtask(args, env = {}) {
  const child = spawn(program, [...first, ...args], { cwd: root, stdio: 'inherit', env: { ...process.env, ...env } });
  const [code] = await once(child, 'exit');
  if (code !== 0) throw new Error(`xtask ${args.join(' ')} ended with ${code}`);
}

/** Serves `dir` from `folder` of a free port; `start()` after `stop()` uses the same address again. */
export async function site({ dir = dist, folder = 'barn/candlemark' } = {}) {
  let child;
  const served = {
    url: undefined,
    async start() {
      const port = served.url ? new URL(served.url).port : '0';
      child = spawn(program, [...first, 'host', dir, '--port', port, '--folder', folder], { cwd: root, stdio: ['ignore', 'pipe', 'inherit'] });
      const lines = createInterface({ input: child.stdout });
      const line = await Promise.race([once(lines, 'line').then(([text]) => text), once(child, 'exit').then(() => undefined)]);
      if (!line) throw new Error(`the server for ${dir} did not start`);
      served.url = line;
    },
    async stop() {
      if (!child || child.exitCode !== null || child.signalCode !== null) return;
      const gone = once(child, 'exit');
      child.kill();
      await gone;
    },
  };
  await served.start();
  return served;
}
