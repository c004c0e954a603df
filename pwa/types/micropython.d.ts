/** The few parts of the runtime that the core's worker uses; the package brings no types. */
export interface Runtime {
  FS: {
    analyzePath(path: string): { exists: boolean };
    mkdir(path: string): void;
    writeFile(path: string, text: string): void;
  };
  globals: { get(name: string): any };
  runPython(code: string): any;
  registerJsModule(name: string, module: object): void;
  _module: {
    getValue(address: number, type: string): number;
    setValue(address: number, value: number, type: string): void;
  };
}
export function loadMicroPython(options: { heapsize?: number; stdout?: (line: string) => void }): Promise<Runtime>;
