declare module "@micropython/micropython-webassembly-pyscript/micropython.mjs" {
  export interface MicroPython {
    FS: { mkdir(path: string): void; writeFile(path: string, text: string): void };
    pyimport(name: string): Record<string, (text: string) => string>;
    runPython(code: string): unknown;
  }
  export function loadMicroPython(options: {
    url?: string;
    heapsize?: number;
    pystack?: number;
    stdout?: (line: string) => void;
    stderr?: (line: string) => void;
  }): Promise<MicroPython>;
}
