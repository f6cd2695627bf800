import {
  chmodSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  statSync,
} from 'node:fs';
import { readFile, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { TextChanged, TextRefuses } from '../ports/well-text.ts';
import { WellTextFile } from './well-text-file.ts';

let folder: string;
let path: string;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'wellwright-text-'));
  chmodSync(folder, 0o755);
  path = join(folder, 'well.toml');
  await writeFile(path, 'name = "Mill"\n');
});
afterEach(() => rmSync(folder, { recursive: true }));

it('tells a text by its SHA-256', () => {
  // NIST FIPS 180-4 example: the message "abc".
  const abc = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';
  expect(new WellTextFile(path).hashOf('abc')).toBe(abc);
});

it('puts a text in place of the one it is based on, and leaves nothing beside it', async () => {
  const file = new WellTextFile(path);
  const { hash } = await file.read();
  chmodSync(path, 0o640);
  const written = await file.write('name = "Mühle"\n', hash);
  expect(await readFile(path, 'utf8')).toBe('name = "Mühle"\n');
  expect(await file.read()).toEqual(written);
  expect(statSync(path).mode & 0o777).toBe(0o640);
  expect(readdirSync(folder)).toEqual(['well.toml']);
});

it('leaves a text alone that has changed meanwhile', async () => {
  const file = new WellTextFile(path);
  const { hash } = await file.read();
  await writeFile(path, 'name = "Other"\n');
  await expect(file.write('name = "Mine"\n', hash)).rejects.toBeInstanceOf(TextChanged);
  expect(await readFile(path, 'utf8')).toBe('name = "Other"\n');
  expect(readdirSync(folder)).toEqual(['well.toml']);
});

it('writes what a link leads to', async () => {
  mkdirSync(join(folder, 'etc'));
  const link = join(folder, 'etc', 'link.toml');
  await symlink(path, link);
  const file = new WellTextFile(link);
  await file.write('name = "Brook"\n', (await file.read()).hash);
  expect(lstatSync(link).isSymbolicLink()).toBe(true);
  expect(await readFile(path, 'utf8')).toBe('name = "Brook"\n');
});

it('says why a text cannot be read or written', async () => {
  const none = new WellTextFile(join(folder, 'none.toml'));
  await expect(none.read()).rejects.toThrow(/none\.toml: expected a well file, found ENOENT/);
  await writeFile(path, Buffer.from([0x6e, 0xff, 0xfe]));
  await expect(new WellTextFile(path).read()).rejects.toThrow(/found other than UTF-8/);
});

it('keeps what is there where it may not write', async () => {
  const file = new WellTextFile(path);
  const { hash } = await file.read();
  const isRoot = process.getuid?.() === 0;
  chmodSync(folder, 0o555);
  // The superuser may write anywhere, so somebody else does.
  if (isRoot) process.seteuid?.(65_534);
  try {
    const written = file.write('name = "Mine"\n', hash);
    await expect(written).rejects.toBeInstanceOf(TextRefuses);
    await expect(written).rejects.toThrow(/expected to write it, found that this service may not/);
  } finally {
    if (isRoot) process.seteuid?.(0);
    chmodSync(folder, 0o755);
  }
  expect(await readFile(path, 'utf8')).toBe('name = "Mill"\n');
  expect(readdirSync(folder)).toEqual(['well.toml']);
});
