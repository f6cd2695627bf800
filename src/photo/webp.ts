import { exifOf, orientationIn } from './orientation.ts';
import { damaged, joined, latin, PhotoRefused, type Size, viewOf } from './photo.ts';

/** Flags of the chunk VP8X (RFC 9649, 2.7.1). */
const ALPHA = 0x10;
const EXIF = 0x08;
const MOVES = 0x02;

interface Chunk {
  name: string;
  data: Uint8Array;
}

/** The picture of a WebP alone (RFC 9649): no Exif, no XMP, no profile, nothing after its end. */
export function cleanWebp(bytes: Uint8Array): Size & { bytes: Uint8Array<ArrayBuffer> } {
  const chunks = chunksOf(bytes);
  const named = (name: string) => chunks.find((chunk) => chunk.name === name);
  const [picture] = chunks.filter(({ name }) => name === 'VP8 ' || name === 'VP8L');
  const extended = named('VP8X');
  if (named('ANIM') !== undefined || ((extended?.data[0] ?? 0) & MOVES) !== 0)
    throw new PhotoRefused('photo-type', 'expected one picture, found a moving one');
  if (picture === undefined) throw damaged(bytes.length, 'a picture', 'the end of the file');
  const size = picture.name === 'VP8L' ? losslessSize(picture.data) : lossySize(picture.data);
  const kept = [picture];
  if (extended !== undefined) {
    const alpha = named('ALPH');
    if (alpha !== undefined && picture.name === 'VP8 ') kept.unshift(alpha);
    kept.unshift({ name: 'VP8X', data: headOf(extended.data, size) });
    const orientation = orientationIn(named('EXIF')?.data ?? new Uint8Array());
    if (orientation !== 1) {
      kept[0]!.data[0]! |= EXIF;
      kept.push({ name: 'EXIF', data: exifOf(orientation) });
    }
  }
  return { ...size, bytes: riffOf(kept) };
}

function chunksOf(bytes: Uint8Array): Chunk[] {
  const view = viewOf(bytes);
  const end = 8 + view.getUint32(4, true);
  if (end > bytes.length)
    throw damaged(4, `${end} bytes, as the file itself says`, `${bytes.length}`);
  const chunks: Chunk[] = [];
  for (let at = 12; at + 8 <= end; ) {
    const length = view.getUint32(at + 4, true);
    if (at + 8 + length > end) throw damaged(at, 'a whole chunk', 'the end of the file');
    const name = latin(bytes.subarray(at, at + 4));
    chunks.push({ name, data: bytes.subarray(at + 8, at + 8 + length) });
    at += 8 + length + (length % 2);
  }
  return chunks;
}

/** RFC 6386, 9.1: tag, start code, then width and height of 14 bits beside their scales. */
function lossySize(data: Uint8Array): Size {
  const begins = data[3] === 0x9d && data[4] === 0x01 && data[5] === 0x2a;
  if (data.length < 10 || !begins) throw damaged(0, 'a key frame of VP8', 'something else');
  const view = viewOf(data);
  return { widthPx: view.getUint16(6, true) & 0x3fff, heightPx: view.getUint16(8, true) & 0x3fff };
}

/** RFC 9649, 3.4: signature, then width and height less one, 14 bits each. */
function losslessSize(data: Uint8Array): Size {
  if (data.length < 5 || data[0] !== 0x2f) throw damaged(0, 'a VP8L signature', `${data[0]}`);
  const bits = viewOf(data).getUint32(1, true);
  return { widthPx: (bits & 0x3fff) + 1, heightPx: ((bits >>> 14) & 0x3fff) + 1 };
}

/** The chunk VP8X of one picture: whether it has alpha, and the canvas, 24 bits a side less one. */
function headOf(given: Uint8Array, { widthPx, heightPx }: Size): Uint8Array {
  const head = new Uint8Array(10);
  head[0] = (given[0] ?? 0) & ALPHA;
  const view = viewOf(head);
  view.setUint16(4, widthPx - 1, true);
  view.setUint16(7, heightPx - 1, true);
  return head;
}

function riffOf(chunks: readonly Chunk[]): Uint8Array<ArrayBuffer> {
  const bodies = chunks.flatMap(({ name, data }) => {
    const head = Uint8Array.from(`${name}0000`, (letter) => letter.charCodeAt(0));
    viewOf(head).setUint32(4, data.length, true);
    return [head, data, new Uint8Array(data.length % 2)];
  });
  const begin = Uint8Array.from('RIFF0000WEBP', (letter) => letter.charCodeAt(0));
  const whole = joined([begin, ...bodies]);
  viewOf(whole).setUint32(4, whole.length - 8, true);
  return whole;
}
