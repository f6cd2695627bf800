declare module '@lhncbc/ucum-lhc' {
  interface Conversion {
    status: 'succeeded' | 'failed' | 'error';
    toVal: number | null;
    msg: string[];
  }
  export const UcumLhcUtils: {
    getInstance(): { convertUnitTo(from: string, value: number, to: string): Conversion };
  };
}
