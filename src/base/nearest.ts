/** The known word with the fewest edits from a word, the first of equals; null when all are far. */
export function nearestWord(word: string, known: readonly string[]): string | null {
  let nearest: string | null = null;
  let fewest = Math.max(2, Math.ceil(word.length / 3)) + 1;
  for (const candidate of known) {
    // A word is never nearer than its difference in length: no need to count.
    if (Math.abs(candidate.length - word.length) >= fewest) continue;
    const edits = editDistance(word.toLowerCase(), candidate.toLowerCase());
    if (edits < fewest && edits < candidate.length) {
      fewest = edits;
      nearest = candidate;
    }
  }
  return nearest;
}

/**
 * Edits (insert, delete, replace, swap of neighbours) that turn one word into the other [-].
 * Optimal string alignment: Wagner & Fischer 1974 with the swap of Damerau 1964 (from memory).
 */
export function editDistance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const isSame = a[i - 1] === b[j - 1];
      let least = Math.min(last[j]! + 1, row[j - 1]! + 1, last[j - 1]! + (isSame ? 0 : 1));
      const isSwap = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (isSwap) least = Math.min(least, beforeLast[j - 2]! + 1);
      row.push(least);
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length]!;
}
