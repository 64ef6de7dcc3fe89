// Thousands of invented families, weighed here and by brute force in Python (tests/checks/families.rs).
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { test } from 'node:test';
import { root } from '../browser/harness/site.mjs';

test('six thousand families are weighed as by brute force', () => {
  const env = { ...process.env, CANDLEMARK_FAMILIES: '6000' };
  const { status } = spawnSync('cargo', ['test', '-p', 'checks', '--', 'families_are_weighed'], { cwd: root, stdio: 'inherit', env });
  assert.equal(status, 0);
});
