import { crc32 } from './crc32.ts';
import { exifOf, orientationIn } from './orientation.ts';
import { damaged, joined, latin, type Size, viewOf } from './photo.ts';

export const PNG_BEGINS = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a);

/** The chunks that make the picture (PNG, third edition, 5.6); all others say things about it. */
const SHOWN = new Set(['IHDR', 'PLTE', 'tRNS', 'gAMA', 'cHRM', 'sRGB', 'IDAT', 'IEND']);

interface Chunk {
  name: string;
  data: Uint8Array;
  /** With its length, name and checksum. */
  whole: Uint8Array;
}

/** The picture of a PNG alone: no text, no time, no further pictures, nothing after its end. */
export function cleanPng(bytes: Uint8Array): Size & { bytes: Uint8Array<ArrayBuffer> } {
  const chunks = chunksOf(bytes);
  const [head, ...rest] = chunks.filter(({ name }) => SHOWN.has(name));
  if (head?.name !== 'IHDR' || head.data.length !== 13)
    throw damaged(PNG_BEGINS.length, 'a header of 13 bytes', head?.name ?? 'nothing');
  if (!rest.some(({ name }) => name === 'IDAT'))
    throw damaged(bytes.length, 'a picture', 'the end of the file');
  const exif = chunks.find(({ name }) => name === 'eXIf');
  const orientation = exif === undefined ? 1 : orientationIn(exif.data);
  const upright = orientation === 1 ? [] : [chunkOf('eXIf', exifOf(orientation))];
  const kept = [head.whole, ...upright, ...rest.map(({ whole }) => whole)];
  const view = viewOf(head.data);
  return {
    widthPx: view.getUint32(0),
    heightPx: view.getUint32(4),
    bytes: joined([PNG_BEGINS, ...kept]),
  };
}

function chunksOf(bytes: Uint8Array): Chunk[] {
  const view = viewOf(bytes);
  const chunks: Chunk[] = [];
  let at = PNG_BEGINS.length;
  while (chunks.at(-1)?.name !== 'IEND') {
    const end = at + 12 <= bytes.length ? at + 12 + view.getUint32(at) : Infinity;
    if (end > bytes.length) throw damaged(at, 'a whole chunk', 'the end of the file');
    const name = latin(bytes.subarray(at + 4, at + 8));
    if (SHOWN.has(name) && crc32(bytes.subarray(at + 4, end - 4)) !== view.getUint32(end - 4))
      throw damaged(at, `a chunk ${name} as its checksum has it`, 'another');
    const data = bytes.subarray(at + 8, end - 4);
    chunks.push({ name, data, whole: bytes.subarray(at, end) });
    at = end;
  }
  return chunks;
}

function chunkOf(name: string, data: Uint8Array): Uint8Array {
  const named = joined([Uint8Array.from(name, (letter) => letter.charCodeAt(0)), data]);
  const chunk = joined([new Uint8Array(4), named, new Uint8Array(4)]);
  const view = viewOf(chunk);
  view.setUint32(0, data.length);
  view.setUint32(4 + named.length, crc32(named));
  return chunk;
}
