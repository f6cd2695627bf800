import { exifOf, orientationIn } from './orientation.ts';
import { damaged, joined, latin, type Size, viewOf } from './photo.ts';

/** Markers of ITU-T T.81, table B.1. */
const SOI = 0xd8;
const EOI = 0xd9;
const SOS = 0xda;
const COM = 0xfe;
/** Baseline, extended and progressive frames: what browsers show. */
const FRAMES = [0xc0, 0xc1, 0xc2];
/** Tables for decoding: Huffman, quantization, restart interval. */
const TABLES = [0xc4, 0xdb, 0xdd];

const EXIF = 'Exif\0\0';

/** The picture of a JPEG alone: no comment, no application data, nothing after its end. */
export function cleanJpeg(bytes: Uint8Array): Size & { bytes: Uint8Array<ArrayBuffer> } {
  const view = viewOf(bytes);
  const kept: Uint8Array[] = [Uint8Array.of(0xff, SOI)];
  let size: Size | null = null;
  let at = 2;
  for (;;) {
    if (bytes[at] !== 0xff) throw damaged(at, 'a marker', found(bytes, at));
    while (bytes[at + 1] === 0xff) at++;
    const marker = bytes[at + 1];
    if (marker === EOI) break;
    const start = at;
    const length = at + 4 <= bytes.length ? view.getUint16(at + 2) : 0;
    at += 2 + length;
    if (marker === undefined || length < 2 || at > bytes.length)
      throw damaged(start, 'a whole segment', 'the end of the file');
    const body = bytes.subarray(start + 4, at);
    if (FRAMES.includes(marker)) size = sizeOf(body, start);
    else if (marker === SOS && size === null) throw damaged(start, 'a frame', 'a scan');
    if (marker === SOS) at = endOfScan(bytes, at);
    const segment = [...FRAMES, ...TABLES, SOS].includes(marker)
      ? bytes.subarray(start, at)
      : otherSegment(marker, body, start);
    if (segment !== null) kept.push(segment);
  }
  if (size === null) throw damaged(at, 'a frame', 'the end of the picture');
  return { ...size, bytes: joined([...kept, Uint8Array.of(0xff, EOI)]) };
}

const found = (bytes: Uint8Array, at: number): string =>
  at < bytes.length ? `${bytes[at]}` : 'the end of the file';

function sizeOf(frame: Uint8Array, at: number): Size {
  if (frame.length < 6) throw damaged(at, 'a frame header', `${frame.length} bytes`);
  const view = viewOf(frame);
  return { heightPx: view.getUint16(1), widthPx: view.getUint16(3) };
}

/** A scan ends with the first marker that is no stuffed byte and no restart (T.81, B.1.1.5). */
function endOfScan(bytes: Uint8Array, from: number): number {
  for (let at = from; at + 1 < bytes.length; at++) {
    if (bytes[at] !== 0xff) continue;
    const next = bytes[at + 1]!;
    if (next !== 0 && next !== 0xff && (next < 0xd0 || next > 0xd7)) return at;
  }
  throw damaged(bytes.length, 'the end of a scan', 'the end of the file');
}

/** What of an application segment is needed to show the picture; null where nothing is. */
function otherSegment(marker: number, body: Uint8Array, at: number): Uint8Array | null {
  const isApplication = marker >= 0xe0 && marker <= 0xef;
  if (marker !== COM && !isApplication)
    throw damaged(at, 'a JPEG as browsers show it', `the marker ${marker.toString(16)}`);
  const names = (name: string) => latin(body.subarray(0, name.length)) === name;
  // JFIF without its thumbnail (ITU-T T.871, 10.1); Adobe's word on colours, which T.872 has, too.
  if (marker === 0xe0 && names('JFIF\0') && body.length >= 14)
    return segment(marker, joined([body.subarray(0, 12), Uint8Array.of(0, 0)]));
  if (marker === 0xee && names('Adobe') && body.length >= 12)
    return segment(marker, body.subarray(0, 12));
  if (marker !== 0xe1 || !names(EXIF)) return null;
  const orientation = orientationIn(body.subarray(EXIF.length));
  if (orientation === 1) return null;
  return segment(marker, joined([body.subarray(0, EXIF.length), exifOf(orientation)]));
}

function segment(marker: number, body: Uint8Array): Uint8Array {
  const length = body.length + 2;
  return joined([Uint8Array.of(0xff, marker, length >> 8, length & 0xff), body]);
}
