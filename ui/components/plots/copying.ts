/** Copies a picture, or saves it if the browser does not allow copying. @returns What was done, in words. */
export async function copyPicture(picture: HTMLCanvasElement, title: string): Promise<string> {
  const blob = await new Promise<Blob | null>((resolve) => picture.toBlob(resolve, 'image/png'));
  if (!blob) return 'The picture could not be made.';
  try {
    await navigator.clipboard.write([new ClipboardItem({ 'image/png': blob })]);
    return 'Picture copied.';
  } catch {
    return save(blob, `${fileName(title)}.png`);
  }
}

/** Copies a table, or saves it if the browser does not allow copying. @returns What was done, in words. */
export async function copyText(csv: string, title: string): Promise<string> {
  try {
    await navigator.clipboard.writeText(csv);
    return 'Numbers copied.';
  } catch {
    return save(new Blob([csv], { type: 'text/csv' }), `${fileName(title)}.csv`);
  }
}

function save(blob: Blob, name: string): string {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  URL.revokeObjectURL(link.href);
  return `Saved as ${name}.`;
}

function fileName(title: string): string {
  return title
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-|-$/g, '');
}
