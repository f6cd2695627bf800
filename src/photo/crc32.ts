const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; bit++) rest = rest & 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  return rest;
});

/** The checksum of a PNG chunk over its name and data (ISO/IEC 15948, 5.5 and annex D). */
export function crc32(bytes: Uint8Array): number {
  let rest = 0xffffffff;
  for (const byte of bytes) rest = TABLE[(rest ^ byte) & 0xff]! ^ (rest >>> 8);
  return (rest ^ 0xffffffff) >>> 0;
}
