declare module 'cephes' {
  const cephes: {
    compiled: Promise<void>;
    /** Exponential integral of order n. */
    expn(n: number, x: number): number;
  };
  export default cephes;
}
