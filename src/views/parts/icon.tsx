const PATHS = {
  play: 'M7 4v16l13-8z',
  pause: 'M6 4h4v16H6zM14 4h4v16h-4z',
  back: 'M19 5v14L9 12zM5 5h3v14H5z',
  on: 'M5 5v14l10-7zM16 5h3v14h-3z',
  undo: 'M9 4 3 10l6 6v-4h5a4 4 0 0 1 0 8h-3v3h3a7 7 0 0 0 0-14H9z',
  redo: 'M15 4l6 6-6 6v-4h-5a4 4 0 0 0 0 8h3v3h-3a7 7 0 0 1 0-14h5z',
  project: 'M2 4h20v2H2zM4 7h16v10H4zM11 17h2v2l4 3h-3l-2-1.6L10 22H7l4-3z',
  swap: 'M16 3l5 5-5 5V9.5H4v-3h12zM8 11v3.5h12v3H8V21l-5-5z',
  open: 'M11 3h2v8h8v2h-8v8h-2v-8H3v-2h8z',
  check: 'M9.2 18.6 3 12.4 4.8 10.6l4.4 4.4L19.2 5 21 6.8z',
  close: 'M5.6 4.2 12 10.6l6.4-6.4 1.4 1.4L13.4 12l6.4 6.4-1.4 1.4L12 13.4l-6.4 6.4-1.4-1.4L10.6 12 4.2 5.6z',
} as const;

/** One of our own signs, in the colour of the text; always beside words or under a label. */
export function Icon({ name }: { readonly name: keyof typeof PATHS }) {
  return (
    <svg viewBox="0 0 24 24" width="1.25em" height="1.25em" aria-hidden="true" focusable="false">
      <path d={PATHS[name]} fill="currentColor" />
    </svg>
  );
}
