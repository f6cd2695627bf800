import { cleanJpeg } from './jpeg.ts';
import {
  latin,
  PHOTO_LIMITS,
  type Photo,
  type PhotoLimits,
  PhotoRefused,
  type PhotoType,
} from './photo.ts';
import { cleanPng, PNG_BEGINS } from './png.ts';
import { cleanWebp } from './webp.ts';

const CLEANERS = {
  'image/jpeg': cleanJpeg,
  'image/png': cleanPng,
  'image/webp': cleanWebp,
} as const satisfies Record<PhotoType, unknown>;

/**
 * A photo as somebody handed it in, without what it says beside the picture: where and when it was
 * taken, by what and whom, comments, thumbnails, anything after its end. What is left shows the
 * same pixels the same way up; wide colours look a little paler without their profile. The kind is
 * told by the first bytes, whatever name it came under. Throws PhotoRefused.
 */
export function cleanPhoto(bytes: Uint8Array, limits: PhotoLimits = PHOTO_LIMITS): Photo {
  if (bytes.length > limits.bytes)
    throw new PhotoRefused(
      'photo-too-large',
      `expected at most ${limits.bytes} bytes, found ${bytes.length}`,
    );
  const type = typeOf(bytes);
  const cleaned = CLEANERS[type](bytes);
  const { widthPx, heightPx } = cleaned;
  const fits = Math.max(widthPx, heightPx) <= limits.sidePx && widthPx * heightPx <= limits.pixels;
  if (widthPx === 0 || heightPx === 0 || !fits)
    throw new PhotoRefused(
      'photo-too-large',
      `expected 1 to ${limits.sidePx} pixels a side and at most ${limits.pixels} in all, ` +
        `found ${widthPx} by ${heightPx}`,
    );
  return { type, ...cleaned };
}

function typeOf(bytes: Uint8Array): PhotoType {
  const begins = latin(bytes.subarray(0, 12));
  if (begins.startsWith('\xff\xd8\xff')) return 'image/jpeg';
  if (begins.startsWith(latin(PNG_BEGINS))) return 'image/png';
  if (/^RIFF[\s\S]{4}WEBP$/.test(begins)) return 'image/webp';
  const found = bytes.length === 0 ? 'nothing' : `bytes ${[...bytes.subarray(0, 8)].join(' ')}`;
  throw new PhotoRefused('photo-type', `expected a JPEG, PNG or WebP, found ${found}`);
}
