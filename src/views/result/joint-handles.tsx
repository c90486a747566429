import { frameShownAt } from '../../overlay/scene.ts';
import { LANDMARK_INDEX, type LandmarkName } from '../../pose/landmarks.ts';
import type { PlacedJoint } from '../../pose/place-joints.ts';
import { landmarkAt } from '../../pose/pose-track.ts';
import type { Overrides, Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { usePlayhead, useSession } from '../session-context.ts';
import { PointPad, type PadPoint } from './point-pad.tsx';

const PARTS = ['Shoulder', 'Elbow', 'Wrist', 'Hip', 'Knee', 'Ankle', 'Heel', 'FootIndex'] as const;

const PART_WORDS: Readonly<Record<(typeof PARTS)[number], string>> = {
  Shoulder: 'shoulder', Elbow: 'elbow', Wrist: 'wrist', Hip: 'hip', Knee: 'knee', Ankle: 'ankle', Heel: 'heel', FootIndex: 'toes',
};

interface Handle extends PadPoint {
  readonly landmark: LandmarkName;
}

/** What the user stated, with one joint placed in the frame at t; another place of the same joint in that frame is replaced. */
export function placeJoint(overrides: Overrides, joint: PlacedJoint, spacingS: number): Overrides {
  const others = (overrides.joints ?? []).filter((each) => each.landmark !== joint.landmark || Math.abs(each.t - joint.t) > spacingS / 2);
  return { ...overrides, joints: [...others, joint] };
}

/** The joints of the frame on screen that can be dragged: where they were placed, else where they were found. */
function handlesAt(reading: Reading, t: number, placed: readonly PlacedJoint[], spacingS: number): readonly Handle[] {
  const frame = frameShownAt(reading.track, t);
  if (frame === null) return [];
  return (['left', 'right'] as const).flatMap((side) =>
    PARTS.flatMap((part): Handle[] => {
      const landmark: LandmarkName = `${side}${part}`;
      const own = placed.find((each) => each.landmark === landmark && Math.abs(each.t - t) <= spacingS / 2);
      const { x, y } = own ?? landmarkAt(reading.track, frame, LANDMARK_INDEX[landmark]);
      if (!Number.isFinite(x) || !Number.isFinite(y)) return [];
      const look = own !== undefined ? 'placed' : side === reading.lead.value ? 'white' : 'blue';
      return [{ key: landmark, landmark, name: `${side} ${PART_WORDS[part]}`, x, y, look }];
    }),
  );
}

/** Handles on the joints of the frame on screen. */
export function JointHandles({ clip, reading, video }: {
  readonly clip: Clip;
  readonly reading: Reading;
  readonly video: React.RefObject<HTMLVideoElement | null>;
}) {
  const session = useSession();
  const t = usePlayhead((state) => state.t);
  const { track } = reading;
  const spacingS = track.times.length > 1 ? (track.times[1] ?? 0) - (track.times[0] ?? 0) : 1 / 30;
  const handles = handlesAt(reading, t, clip.history.present.joints ?? [], spacingS);
  return (
    <PointPad
      points={handles}
      size={track}
      video={video}
      onPlace={(key, at) => {
        const handle = handles.find((each) => each.key === key);
        const frame = frameShownAt(track, t);
        if (handle === undefined || frame === null) return;
        session.state(clip.id, placeJoint(clip.history.present, { t: track.times[frame] ?? t, landmark: handle.landmark, ...at }, spacingS));
      }}
    />
  );
}
