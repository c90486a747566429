import { BODY_JOINTS, midPath, type BodyJoint, type BodyTrack, type Limbs, type Path } from '../pose/body-track.ts';
import type { Direction, Side } from '../starts/start.ts';
import { HALF_WIDTH_LEG } from './across-body.ts';
import { squarer, type CameraPose } from './camera-pose.ts';

/**
 * The joint paths as a level camera straight across the run would have seen them; still in the athlete's frame of travel.
 * Left and right limbs lie half a body's width before and behind the plane of travel (`widthShare` of the usual width, 1
 * unless said; less where the model does not show it whole): seen at a slant, that alone shifts them along the run. Sides that the model
 * shows too far ahead or behind, too high or too low, are put back.
 */
export function squareBody(body: BodyTrack, direction: Direction, pose: CameraPose, legPx: number, widthShare = 1): BodyTrack {
  const toDisplay = direction === 'right-to-left' ? -1 : 1;
  const squareOn = squarer(pose);
  const square = (path: Path, awayPx: number, aheadPx: number, lowerPx: number): Path => {
    const x = new Float64Array(path.x.length);
    const y = new Float64Array(path.y.length);
    for (let i = 0; i < x.length; i++) {
      const point = squareOn({ x: toDisplay * path.x[i]!, y: path.y[i]! }, awayPx);
      x[i] = toDisplay * point.x + aheadPx;
      y[i] = point.y + lowerPx;
    }
    return { ...path, x, y };
  };
  const limbs = (side: Side): Limbs => Object.fromEntries(BODY_JOINTS.map((joint) => {
    const { share, nearAheadLeg, nearHighLeg } = body.sidesShown[joint];
    const awayPx = awayLeg(joint, side, direction) * legPx;
    const halfPx = (Math.sign(awayPx) * legPx) / 2;
    return [joint, square(body[side][joint], awayPx * share * widthShare, halfPx * nearAheadLeg, -halfPx * (nearHighLeg ?? 0))];
  })) as unknown as Limbs;
  const left = limbs('left');
  const right = limbs('right');
  return { ...body, left, right, hipMid: midPath(left.hip, right.hip), shoulderMid: midPath(left.shoulder, right.shoulder) };
}

/** How far behind the plane of travel a joint lies while the athlete faces along the run, leg lengths: an athlete who runs to the right of the picture has the left side away from the camera. */
export function awayLeg(joint: BodyJoint, side: Side, direction: Direction): number {
  const isAway = (side === 'left') === (direction === 'left-to-right');
  return (isAway ? 1 : -1) * HALF_WIDTH_LEG[joint];
}
