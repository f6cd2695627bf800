import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { rowsUnder } from '../../test/support/doc-rows.ts';
import { has } from '../../test/support/mosquitto.ts';
import { cleanPhoto } from './clean.ts';
import { crc32 } from './crc32.ts';
import { PHOTO_LIMITS, PhotoRefused } from './photo.ts';

// Small pictures whose place, time, device and makers were written in by an independent program
// (Debian's exiftool 12.57): Exif with GPS, XMP, IPTC, comments, a thumbnail, words after the end.
const PHOTOS = [
  'plain.jpg',
  'progressive.jpg',
  'plain.png',
  'lossy.webp',
  'lossless.webp',
  'alpha.webp',
];
const given = (name: string) =>
  new Uint8Array(readFileSync(new URL(`../../test/photos/${name}`, import.meta.url)));
const textOf = (bytes: Uint8Array) => Buffer.from(bytes).toString('latin1');

const folder = mkdtempSync(join(tmpdir(), 'photos-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** A cleaned photo as a file. */
function cleanedFile(name: string): string {
  const file = join(folder, name);
  writeFileSync(file, cleanPhoto(given(name)).bytes);
  return file;
}

const refusalOf = (bytes: Uint8Array, limits = {}): PhotoRefused => {
  try {
    cleanPhoto(bytes, { ...PHOTO_LIMITS, ...limits });
  } catch (error) {
    if (error instanceof PhotoRefused) return error;
    throw error;
  }
  throw new Error('expected a refusal, found a photo');
};

describe('a photo', () => {
  it('keeps nothing that was told of place, time, device and people', () => {
    for (const name of PHOTOS) {
      expect(textOf(given(name)), name).toContain('Told-Nobody');
      const { bytes, widthPx, heightPx, type } = cleanPhoto(given(name));
      expect(textOf(bytes), name).not.toMatch(/Told|Nobody|xmp|http|GPS|2026|Photoshop|exif/);
      expect([widthPx, heightPx], name).toEqual([24, 16]);
      expect(type).toBe(`image/${name.split('.')[1]!.replace('jpg', 'jpeg')}`);
      // What is clean already stays as it is.
      expect(cleanPhoto(bytes).bytes, name).toEqual(bytes);
    }
  });

  it('holds the segments of a picture and which way up it is', () => {
    const markers = (bytes: Uint8Array) => {
      const view = new DataView(bytes.buffer);
      const found: string[] = [];
      for (let at = 2; bytes[at + 1] !== 0xda; at += 2 + view.getUint16(at + 2))
        found.push(bytes[at + 1]!.toString(16));
      return found;
    };
    // JFIF, Exif of one entry, tables, frame: ITU-T T.81, table B.1.
    expect(new Set(markers(cleanPhoto(given('plain.jpg')).bytes))).toEqual(
      new Set(['e0', 'e1', 'db', 'c0', 'c4']),
    );
    expect(textOf(cleanPhoto(given('plain.png')).bytes).match(/[a-zA-Z]{4}(?=.)/g)).toContain(
      'eXIf',
    );
    expect(textOf(cleanPhoto(given('alpha.webp')).bytes)).toMatch(/^RIFF.{4}WEBPVP8X/s);
  });

  it('is read back by an independent program with no place, and the same way up', () => {
    if (!has('exiftool')) return;
    for (const name of PHOTOS) {
      const out = execFileSync('exiftool', ['-j', '-a', '-u', '-G1', cleanedFile(name)]);
      const [told] = JSON.parse(out.toString()) as [Record<string, unknown>];
      expect(told['IFD0:Orientation'], name).toBe('Rotate 90 CW');
      expect(told['ExifTool:Warning'], name).toBeUndefined();
      const others = Object.keys(told).filter(
        (key) => !/^(SourceFile|(ExifTool|System|File|JFIF|PNG|RIFF|Composite):)/.test(key),
      );
      expect(others, name).toEqual(['IFD0:Orientation']);
      expect(JSON.stringify(told), name).not.toMatch(/Nobody|GPS|Author|Comment|Creator/);
    }
  });

  it('shows the same pixels, by an independent decoder', () => {
    if (!has('identify')) return;
    const signature = (file: string) =>
      execFileSync('identify', ['-format', '%w %h %#', file], { stdio: 'pipe' }).toString();
    for (const name of PHOTOS) {
      const before = new URL(`../../test/photos/${name}`, import.meta.url).pathname;
      expect(signature(cleanedFile(name)), name).toBe(signature(before));
    }
  });

  it('is one of three kinds, by its first bytes', () => {
    for (const text of ['', 'GIF89a', '<svg xmlns="', '%PDF-1.7', 'RIFF0000WAVE', 'II*\0'])
      expect(refusalOf(Buffer.from(text)).code, text).toBe('photo-type');
    expect(refusalOf(Buffer.from('<html>')).message).toBe(
      'expected a JPEG, PNG or WebP, found bytes 60 104 116 109 108 62',
    );
  });

  it('has bounds on its bytes and its pixels', () => {
    const photo = given('plain.png');
    expect(refusalOf(photo, { bytes: 1000 }).message).toBe(
      `expected at most 1000 bytes, found ${photo.length}`,
    );
    expect(refusalOf(photo, { sidePx: 23 }).code).toBe('photo-too-large');
    expect(refusalOf(photo, { pixels: 24 * 16 - 1 }).message).toMatch(/found 24 by 16$/);
  });

  it('is refused when cut anywhere before its end, and never more than that', () => {
    for (const name of PHOTOS) {
      const whole = cleanPhoto(given(name)).bytes;
      for (let length = 12; length < whole.length; length++)
        expect(refusalOf(whole.slice(0, length)).code, `${name} ${length}`).toBe('photo-damaged');
    }
  });

  it('with any byte changed is cleaned or refused, and nothing else happens', () => {
    let refused = 0;
    for (const name of PHOTOS) {
      const whole = given(name);
      for (let at = 0; at < whole.length; at++) {
        const changed = whole.slice();
        changed[at]! ^= 0xff;
        try {
          cleanPhoto(changed);
        } catch (error) {
          expect(error, `${name} ${at}`).toBeInstanceOf(PhotoRefused);
          refused++;
        }
      }
    }
    expect(refused).toBeGreaterThan(500);
  });
});

it('the checksum is that of the standard', () => {
  // The check value of CRC-32 as catalogues of CRCs have it, and IEND as every PNG ends with it.
  expect(crc32(Buffer.from('123456789'))).toBe(0xcbf43926);
  expect(crc32(Buffer.from('IEND'))).toBe(0xae426082);
});

it('its bounds stand in docs/limits.md', () => {
  const printed = rowsUnder('limits.md', '## Photos').map((cells) => cells.slice(0, 2));
  expect(printed).toEqual(Object.entries(PHOTO_LIMITS).map(([name, most]) => [name, `${most}`]));
});
