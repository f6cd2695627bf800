import type { Well } from '../model/well.ts';

/**
 * Which code and which well file make a state: what another made is of no use. The file counts by
 * what it says, so that a comment or a blank line costs no replay.
 */
export function madeBy(well: Well, codeVersion: string): string {
  return `${codeVersion}.${hash64(JSON.stringify(well))}`;
}

/** FNV-1a with 64 bits over UTF-16 code units, in hex (offset and prime from memory). */
function hash64(text: string): string {
  let hash = 0xcbf29ce484222325n;
  for (let i = 0; i < text.length; i++) {
    hash ^= BigInt(text.charCodeAt(i));
    hash = BigInt.asUintN(64, hash * 0x100000001b3n);
  }
  return hash.toString(16).padStart(16, '0');
}
