/** A clip up to this size is hashed whole; of a larger one as much is read in pieces. Chosen: read and hashed in about 30 ms. */
const WHOLE_BYTES = 8 * 1024 * 1024;
/** Of a larger clip: this much of either end, where containers keep their tables … */
const END_BYTES = 1024 * 1024;
/** … and this many pieces spread evenly between. */
const PIECES = 24;
const PIECE_BYTES = 256 * 1024;

/**
 * SHA-256 of a clip as 64 hex digits: of its size and all its bytes up to 8 MiB, else of its size, its first and last MiB and
 * 24 pieces in between. Null where the browser has no hash (an insecure address). The browser hashes only what is in memory
 * as a whole, so a minute of 4K would cost 400 MiB; two recordings of one size that agree in 8 MiB of compressed picture
 * spread over the clip do not come about by chance.
 */
export async function clipHash(clip: Blob, subtle: SubtleCrypto | undefined = (globalThis as { crypto?: Crypto }).crypto?.subtle): Promise<string | null> {
  if (subtle === undefined) return null;
  const parts = piecesOf(clip.size).map(([from, to]) => clip.slice(from, to));
  const bytes = await new Blob([String(clip.size), '\n', ...parts]).arrayBuffer();
  const digest = await subtle.digest('SHA-256', bytes);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** The stretches of a clip that go into its hash, bytes, in order. */
function piecesOf(size: number): readonly (readonly [number, number])[] {
  if (size <= WHOLE_BYTES) return [[0, size]];
  const betweenBytes = size - 2 * END_BYTES - PIECE_BYTES;
  const between = Array.from({ length: PIECES }, (_, i) => {
    const from = END_BYTES + Math.round((betweenBytes * i) / (PIECES - 1));
    return [from, from + PIECE_BYTES] as const;
  });
  return [[0, END_BYTES], ...between, [size - END_BYTES, size]];
}
