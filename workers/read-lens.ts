/** The key under which QuickTime files state the lens, as its full-frame equivalent (Apple, AVMetadataIdentifier.quickTimeMetadataCameraFocalLength35mmEquivalent). */
const FOCAL_KEY = 'com.apple.quicktime.camera.focal_length.35mm_equivalent';
/** Boxes in which a `meta` box may lie: phones write it into the video track. */
const OUTER = new Set(['moov', 'trak', 'udta']);
/** A file's index larger than this is not searched, bytes. Chosen: ten times that of a ten-minute clip at 240 frames a second. */
const MAX_INDEX_BYTES = 32e6;
/** Lenses that exist on phones and cameras, millimetres full-frame equivalent; anything else is a slip of the writer. Chosen. */
const [SHORTEST_MM, LONGEST_MM] = [8, 1000];

interface Box {
  readonly name: string;
  /** First byte after the header, and the end, within the bytes at hand. */
  readonly from: number;
  readonly to: number;
}

/**
 * The lens that an MP4 or QuickTime file states, millimetres full-frame equivalent; null where it states none.
 * Read here because the demuxer passes over the metadata of tracks. Layout: ISO/IEC 14496-12 boxes; metadata keys as in
 * the QuickTime File Format Specification, "Metadata".
 */
export async function readLensMm(file: Blob): Promise<number | null> {
  let at = 0;
  while (at + 8 <= file.size) {
    const head = new DataView(await file.slice(at, at + 16).arrayBuffer());
    const box = boxAt(head, 0, file.size - at);
    if (box === null) return null;
    if (box.name === 'moov') {
      if (box.to > MAX_INDEX_BYTES) return null;
      return lensIn(new DataView(await file.slice(at, at + box.to).arrayBuffer()));
    }
    at += box.to;
  }
  return null;
}

/** The lens stated in a file's index (its `moov` box), millimetres full-frame equivalent; null without one. */
export function lensIn(index: DataView): number | null {
  const search = (from: number, to: number): number | null => {
    for (const box of boxes(index, from, to)) {
      const found = box.name === 'meta' ? focalIn(index, box) : OUTER.has(box.name) ? search(box.from, box.to) : null;
      if (found !== null) return found;
    }
    return null;
  };
  return search(0, index.byteLength);
}

function focalIn(view: DataView, meta: Box): number | null {
  // MP4 puts four bytes of version and flags before the boxes, QuickTime does not.
  const from = view.byteLength >= meta.from + 4 && view.getUint32(meta.from) === 0 ? meta.from + 4 : meta.from;
  const inside = boxes(view, from, meta.to);
  const [keys, items] = [inside.find(({ name }) => name === 'keys'), inside.find(({ name }) => name === 'ilst')];
  if (keys === undefined || items === undefined) return null;
  const place = keyNames(view, keys).indexOf(FOCAL_KEY) + 1;
  // An item is named by the place of its key, from 1.
  const item = place === 0 ? undefined : boxes(view, items.from, items.to).find((box) => view.getUint32(box.from - 4) === place);
  const data = item && boxes(view, item.from, item.to).find(({ name }) => name === 'data');
  if (data === undefined || data.to - data.from < 8) return null;
  const mm = numberIn(view, view.getUint32(data.from), data.from + 8, data.to);
  return mm >= SHORTEST_MM && mm <= LONGEST_MM ? mm : null;
}

function keyNames(view: DataView, keys: Box): string[] {
  const names: string[] = [];
  let at = keys.from + 8;
  while (at + 8 <= keys.to) {
    const size = view.getUint32(at);
    if (size < 8 || at + size > keys.to) break;
    names.push(textIn(view, at + 8, at + size));
    at += size;
  }
  return names;
}

/** A number by its well-known type: text, integers, floating point; NaN for others. */
function numberIn(view: DataView, type: number, from: number, to: number): number {
  const bytes = to - from;
  if (type === 1) return Number.parseFloat(textIn(view, from, to));
  if (type === 23 && bytes === 4) return view.getFloat32(from);
  if (type === 24 && bytes === 8) return view.getFloat64(from);
  // Integers of any width: signed or unsigned alike, for a length is positive.
  if ((type === 21 || type === 22 || (type >= 65 && type <= 78)) && bytes >= 1 && bytes <= 4) {
    let value = 0;
    for (let at = from; at < to; at += 1) value = 256 * value + view.getUint8(at);
    return value;
  }
  return Number.NaN;
}

function textIn(view: DataView, from: number, to: number): string {
  return new TextDecoder().decode(new Uint8Array(view.buffer, view.byteOffset + from, to - from));
}

function boxes(view: DataView, from: number, to: number): Box[] {
  const list: Box[] = [];
  let at = from;
  for (let box = boxAt(view, at, to); box !== null; box = boxAt(view, at, to)) {
    list.push(box);
    at = box.to;
  }
  return list;
}

/** The box that begins at `at` and must end by `limit`; null where none does. */
function boxAt(view: DataView, at: number, limit: number): Box | null {
  if (at + 8 > limit || at + 8 > view.byteLength) return null;
  const stated = view.getUint32(at);
  const isLong = stated === 1;
  if (isLong && at + 16 > view.byteLength) return null;
  const header = isLong ? 16 : 8;
  const size = stated === 0 ? limit - at : isLong ? Number(view.getBigUint64(at + 8)) : stated;
  if (size < header || at + size > limit) return null;
  return { name: String.fromCharCode(...[4, 5, 6, 7].map((byte) => view.getUint8(at + byte))), from: at + header, to: at + size };
}
