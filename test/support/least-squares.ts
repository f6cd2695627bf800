/** Parameters, all above zero, that bring a model nearest to observations, and what is left. */
export interface Fit {
  first: number;
  second: number;
  rmse: number;
}

/**
 * Least squares in two positive parameters by Gauss-Newton on their logarithms, with the step
 * halved until it helps. Only for tests: published pumping tests are fitted with it.
 */
export function fitTwo(
  start: [number, number],
  observed: readonly number[],
  model: (first: number, second: number, index: number) => number,
): Fit {
  let [p, q] = [Math.log(start[0]), Math.log(start[1])];
  const residuals = (a: number, b: number) =>
    observed.map((value, i) => value - model(Math.exp(a), Math.exp(b), i));
  const squares = (list: number[]) => list.reduce((sum, r) => sum + r * r, 0);
  for (let round = 0; round < 60; round += 1) {
    const now = residuals(p, q);
    const alongP = residuals(p + 1e-6, q).map((r, i) => ((now[i] ?? 0) - r) / 1e-6);
    const alongQ = residuals(p, q + 1e-6).map((r, i) => ((now[i] ?? 0) - r) / 1e-6);
    const dot = (a: number[], b: number[]) => a.reduce((sum, x, i) => sum + x * (b[i] ?? 0), 0);
    const [pp, pq, qq] = [dot(alongP, alongP), dot(alongP, alongQ), dot(alongQ, alongQ)];
    const [pr, qr] = [dot(alongP, now), dot(alongQ, now)];
    const determinant = pp * qq - pq * pq;
    const [stepP, stepQ] = [(qq * pr - pq * qr) / determinant, (pp * qr - pq * pr) / determinant];
    let share = 1;
    const worse = (s: number) => squares(residuals(p + s * stepP, q + s * stepQ)) > squares(now);
    while (share > 1e-6 && worse(share)) share /= 2;
    p += share * stepP;
    q += share * stepQ;
  }
  const rmse = Math.sqrt(squares(residuals(p, q)) / observed.length);
  return { first: Math.exp(p), second: Math.exp(q), rmse };
}
