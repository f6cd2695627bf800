declare module '@micropython/micropython-webassembly-pyscript/micropython.mjs' {
  export function loadMicroPython(options: {
    heapsize: number;
    stdout: (line: string) => void;
  }): Promise<unknown>;
}
