declare module 'cephes' {
  const cephes: {
    compiled: Promise<void>;
    /** Exponential integral of order n. */
    expn(n: number, x: number): number;
    /** Probability that Student's T with k degrees of freedom lies below t. */
    stdtr(k: number, t: number): number;
  };
  export default cephes;
}
