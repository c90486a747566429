import type { FloorTaps } from '../../camera/floor-scale.ts';

/** A point of the picture, display pixels. */
export interface Tap {
  readonly x: number;
  readonly y: number;
}

/** Taps on the floor while they are being made, in the order of their names. */
export interface FloorDraft {
  readonly kind: FloorTaps['kind'];
  readonly taps: readonly Tap[];
}

/** What is tapped, in order; near is toward the camera, left and right as seen. */
export const TAP_NAMES: Readonly<Record<FloorDraft['kind'], readonly string[]>> = {
  marks: ['first mark', 'second mark'],
  mat: ['near left corner', 'near right corner', 'far right corner', 'far left corner'],
};

/** The name of the tap that comes next; null when all are made. */
export function nextTap(draft: FloorDraft): string | null {
  return TAP_NAMES[draft.kind][draft.taps.length] ?? null;
}

/** The draft with the named tap made or moved; a name that is not next and was not made changes nothing. */
export function tapped(draft: FloorDraft, name: string, at: Tap): FloorDraft {
  const index = TAP_NAMES[draft.kind].indexOf(name);
  if (index < 0 || index > draft.taps.length) return draft;
  return { ...draft, taps: [...draft.taps.slice(0, index), at, ...draft.taps.slice(index + 1)] };
}

/** The taps with their lengths in metres as the reading takes them; null while a tap is missing or a length is not positive. */
export function floorOf(draft: FloorDraft, alongM: number, acrossM: number): FloorTaps | null {
  const [a, b, c, d] = draft.taps;
  if (a === undefined || b === undefined || !(alongM > 0)) return null;
  if (draft.kind === 'marks') return { kind: 'marks', a, b, apartM: alongM };
  if (c === undefined || d === undefined || !(acrossM > 0)) return null;
  return { kind: 'mat', nearLeft: a, nearRight: b, farRight: c, farLeft: d, alongM, acrossM };
}

/** The draft that made these taps, for changing them. */
export function draftOf(floor: FloorTaps): FloorDraft {
  return floor.kind === 'marks'
    ? { kind: 'marks', taps: [floor.a, floor.b] }
    : { kind: 'mat', taps: [floor.nearLeft, floor.nearRight, floor.farRight, floor.farLeft] };
}
