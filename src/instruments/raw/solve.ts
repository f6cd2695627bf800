/** Below this share of the greatest diagonal a pivot counts as zero: columns are alike in size. */
const LEAST_PIVOT = 1e-11;

/**
 * Solves a small system with a symmetric, positive definite matrix (Cholesky). Returns the
 * unknowns; NaN throughout where the matrix is singular.
 */
export function solveSymmetric(matrix: readonly number[][], right: readonly number[]): number[] {
  const n = right.length;
  const least = LEAST_PIVOT * Math.max(...matrix.map((row, i) => row[i]!));
  const lower = matrix.map((row) => [...row]);
  for (let j = 0; j < n; j++) {
    let pivot = matrix[j]![j]!;
    for (let k = 0; k < j; k++) pivot -= lower[j]![k]! ** 2;
    if (!(pivot > least)) return right.map(() => Number.NaN);
    lower[j]![j] = Math.sqrt(pivot);
    for (let i = j + 1; i < n; i++) {
      let sum = matrix[i]![j]!;
      for (let k = 0; k < j; k++) sum -= lower[i]![k]! * lower[j]![k]!;
      lower[i]![j] = sum / lower[j]![j]!;
    }
  }
  const found = [...right];
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) found[i]! -= lower[i]![k]! * found[k]!;
    found[i]! /= lower[i]![i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) found[i]! -= lower[k]![i]! * found[k]!;
    found[i]! /= lower[i]![i]!;
  }
  return found;
}
