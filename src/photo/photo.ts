/** Bounds of a photo that somebody hands in. */
export const PHOTO_LIMITS = {
  bytes: 8 * 1024 * 1024,
  sidePx: 16_384,
  pixels: 64_000_000,
} as const;

export type PhotoLimits = Record<keyof typeof PHOTO_LIMITS, number>;

/** The kinds that every browser shows. */
export type PhotoType = 'image/jpeg' | 'image/png' | 'image/webp';

export interface Size {
  widthPx: number;
  heightPx: number;
}

/** A photo with nothing left in it but the picture and which way up it is. */
export interface Photo extends Size {
  type: PhotoType;
  bytes: Uint8Array<ArrayBuffer>;
}

export type PhotoProblem = 'photo-type' | 'photo-too-large' | 'photo-damaged';

/** Why a photo is not taken: what, expected, found. */
export class PhotoRefused extends Error {
  readonly code: PhotoProblem;
  constructor(code: PhotoProblem, says: string) {
    super(says);
    this.code = code;
  }
}

/** For a file that is not as its format has it. */
export const damaged = (at: number, expected: string, found: string): PhotoRefused =>
  new PhotoRefused('photo-damaged', `byte ${at}: expected ${expected}, found ${found}`);

export function joined(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** Bytes as text, one character each. */
export const latin = (bytes: Uint8Array): string =>
  Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');

export const viewOf = (bytes: Uint8Array): DataView =>
  new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
