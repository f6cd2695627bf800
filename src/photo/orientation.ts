import { latin, viewOf } from './photo.ts';

/** Tag, type and place of the orientation (TIFF 6.0, sections 2 and 8; Exif 2.32, 4.6.4). */
const ORIENTATION = 0x0112;
const SHORT = 3;
const ENTRY_BYTES = 12;

/** Which way up a picture is by its Exif, 1 to 8; 1, as it lies, where that does not say. */
export function orientationIn(tiff: Uint8Array): number {
  const order = latin(tiff.subarray(0, 2));
  if (tiff.length < 8 || (order !== 'II' && order !== 'MM')) return 1;
  const little = order === 'II';
  const view = viewOf(tiff);
  const directory = view.getUint32(4, little);
  if (directory + 2 > tiff.length) return 1;
  const entries = view.getUint16(directory, little);
  for (let i = 0; i < entries; i++) {
    const at = directory + 2 + i * ENTRY_BYTES;
    if (at + ENTRY_BYTES > tiff.length) return 1;
    if (view.getUint16(at, little) !== ORIENTATION) continue;
    const value = view.getUint16(at + 8, little);
    return value >= 1 && value <= 8 ? value : 1;
  }
  return 1;
}

/** Exif that says which way up, and nothing else. */
export function exifOf(orientation: number): Uint8Array {
  const tiff = new Uint8Array(26);
  const view = viewOf(tiff);
  tiff.set([0x49, 0x49, 42, 0, 8]);
  view.setUint16(8, 1, true);
  view.setUint16(10, ORIENTATION, true);
  view.setUint16(12, SHORT, true);
  view.setUint32(14, 1, true);
  view.setUint16(18, orientation, true);
  return tiff;
}
