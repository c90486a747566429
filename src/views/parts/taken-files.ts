/** The files chosen in a file field, which is emptied so that the same file can be chosen again. */
export function takenFiles(field: HTMLInputElement): readonly File[] {
  const files = [...(field.files ?? [])];
  field.value = '';
  return files;
}
