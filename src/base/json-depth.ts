const QUOTE = 0x22;
const BACKSLASH = 0x5c;

/** Whether JSON text nests deeper than `most`, seen without parsing it. */
export function isDeeper(json: Uint8Array, most: number): boolean {
  let depth = 0;
  for (let at = 0; at < json.length; at++) {
    const byte = json[at]!;
    if (byte === QUOTE) {
      for (at++; at < json.length && json[at] !== QUOTE; at++) if (json[at] === BACKSLASH) at++;
    } else if (byte === 0x5b || byte === 0x7b) {
      if (++depth > most) return true;
    } else if (byte === 0x5d || byte === 0x7d) depth--;
  }
  return false;
}
