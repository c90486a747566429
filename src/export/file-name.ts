/**
 * A file name that every system takes: the parts in small letters, without accents, joined by hyphens, then the ending.
 * Parts that leave nothing are skipped; 'lungeline' when none is left. At most 100 characters before the ending.
 */
export function fileName(parts: readonly string[], ending: string): string {
  const stem = parts
    .map((part) => part.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-+|-+$/g, ''))
    .filter((part) => part !== '')
    .join('-')
    .slice(0, 100)
    .replace(/-+$/, '');
  // Names that one system keeps for its devices.
  const isTaken = /^(con|prn|aux|nul|com\d|lpt\d)$/.test(stem);
  return `${stem === '' || isTaken ? ['lungeline', stem].filter((part) => part !== '').join('-') : stem}.${ending}`;
}
