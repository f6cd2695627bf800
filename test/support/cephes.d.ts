declare module 'cephes' {
  const cephes: {
    compiled: Promise<void>;
    /** Exponential integral of order n. */
    expn(n: number, x: number): number;
    /** x at which the complemented incomplete gamma integral of order a is p. */
    igami(a: number, p: number): number;
    /** Probability that a normal variable lies below z. */
    ndtr(z: number): number;
    /** Probability that Student's T with k degrees of freedom lies below t. */
    stdtr(k: number, t: number): number;
  };
  export default cephes;
}
