// The whole browser ended at any moment, as by a flat battery: what was said to be saved is there, and of a bundle all
// or nothing.
import assert from 'node:assert/strict';
import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { actsUnderKills, importsUnderKills } from './harness/kills.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** Runs `act` with a profile of its own, which outlives the browsers in it. */
async function profiled(act) {
  const profile = await mkdtemp(join(tmpdir(), 'candlemark-killed-'));
  try {
    return await act(profile);
  } finally {
    await rm(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
}

test('killed at random during 100 acts: every act said to be saved is there, and no chain is broken', () => profiled(async (profile) => {
  const told = await actsUnderKills({ server, profile, acts: 100, kills: 6 });
  console.log(told);
}));

test('the same on the browser\'s newer back end of IndexedDB', () => profiled(async (profile) => {
  const told = await actsUnderKills({ server, profile, acts: 60, kills: 4, sqlite: true });
  console.log(told);
  // The files of the older one end in .leveldb.
  const files = await readdir(join(profile, 'Default', 'IndexedDB'));
  assert.ok(files.length > 0 && files.every((name) => !name.endsWith('.leveldb')), files.join(', '));
}));

test('killed at random while rows are sealed: every act said to be saved is there', () => profiled(async (profile) => {
  // So many rows are sealed at once: the kills fall around it.
  const told = await actsUnderKills({ server, profile, acts: 420, kills: 5, from: 385 });
  console.log(told);
}));

test('an app that says "saved" before the records are written is found out by the same look', { timeout: 300_000 }, () => profiled(async (profile) => {
  await assert.rejects(actsUnderKills({ server, profile, acts: 2, kills: 1, early: true }), /was said to be saved and is not there/);
}));

test('killed at random during 20 bundles taken in: each is there whole with its picture, or not at all', () => profiled(async (profile) => {
  const told = await importsUnderKills({ server, profile, imports: 20, kills: 4, each: 150 });
  console.log(told);
}));
