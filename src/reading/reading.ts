import type { ClipInfo, TimeBase } from '../clip/clip-info.ts';
import type { Cue, Finding } from '../checker/finding.ts';
import type { MomentId, Moments, Source, Step } from '../phases/moment.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import type { Measures } from '../shapes/measure.ts';
import type { Direction, Side, StartId } from '../starts/start.ts';

/** A proposal that the user may override. */
export interface Choice<T> {
  readonly value: T;
  readonly source: Source;
  /** 0 to 1, how clearly the clip shows it; 1 when the user chose it. */
  readonly confidence: number;
}

/** What the user stated about a rep; everything left out is proposed from the track. */
export interface Overrides {
  readonly start?: StartId;
  readonly lead?: Side;
  readonly direction?: Direction;
  /** Moments placed by the user, in clip seconds. */
  readonly moments?: Readonly<Partial<Record<MomentId, number>>>;
  readonly timeBase?: TimeBase;
  /** Standing height of the athlete in metres: the simple scale. */
  readonly heightM?: number;
}

/** Everything Lungeline says about one rep; recomputed at once from the track when an override changes. */
export interface Reading {
  readonly start: Choice<StartId>;
  readonly lead: Choice<Side>;
  readonly direction: Choice<Direction>;
  readonly timeBase: TimeBase;
  /** Thigh + shank of the athlete in pixels, robust over the clip. */
  readonly legLengthPx: number;
  /** Metres per pixel in the plane of travel, null without a scale. */
  readonly metresPerPixel: number | null;
  readonly moments: Moments;
  readonly steps: readonly Step[];
  readonly measures: Measures;
  readonly findings: readonly Finding[];
  /** Leading cue first. */
  readonly cues: readonly Cue[];
  /** The repaired and smoothed track that the measures and the overlay use. */
  readonly track: PoseTrack;
  /** The row of the floor in pixels under the plant, for drawing. */
  readonly floorYPx: number;
}

/** What the worker hands back for one clip. */
export interface Analysis {
  readonly clip: ClipInfo;
  /** Raw track: landmarks as the model gave them, no repair and no smoothing. */
  readonly track: PoseTrack;
  /** The other people seen while looking for the athlete, boxes in display pixels at clip seconds. */
  readonly people: readonly PersonSighting[];
  readonly engineVersion: string;
}

/** One person seen in one probed frame. */
export interface PersonSighting {
  readonly t: number;
  readonly box: { readonly x: number; readonly y: number; readonly width: number; readonly height: number };
  readonly isAthlete: boolean;
}
