/** The few parts of the reader that the scanner uses; its own types need packages that nothing else here does. */
export function prepareZXingModule(options: { overrides: { locateFile(path: string): string } }): void;
export function readBarcodes(
  picture: ImageData,
  options: { formats: string[]; tryHarder: boolean; maxNumberOfSymbols: number },
): Promise<{ text: string }[]>;
