import { fileName } from '../file-name.ts';

/** Hands a file to the browser to be saved. @param name As on the screen; what no file name may hold is left out. */
export function offerDownload(content: Blob, name: string, ending: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(content);
  link.download = `${fileName(name, 'cliplead')}.${ending}`;
  link.click();
  URL.revokeObjectURL(link.href);
}
