import { fileName } from '../file-name.ts';

/** Hands a file to the browser to be saved. @param name As on the screen; characters that a file name may not have are removed. */
export function offerDownload(content: Blob, name: string, ending: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(content);
  link.download = `${fileName(name, 'cliplead')}.${ending}`;
  link.click();
  URL.revokeObjectURL(link.href);
}
