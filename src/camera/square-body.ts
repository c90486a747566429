import { BODY_JOINTS, midPath, type BodyTrack, type Limbs, type Path } from '../pose/body-track.ts';
import type { Direction } from '../starts/start.ts';
import { squareOn, type CameraPose } from './camera-pose.ts';

/** The joint paths as a level camera straight across the run would have seen them; still in the athlete's frame of travel. */
export function squareBody(body: BodyTrack, direction: Direction, pose: CameraPose): BodyTrack {
  const toDisplay = direction === 'right-to-left' ? -1 : 1;
  const square = (path: Path): Path => {
    const x = new Float64Array(path.x.length);
    const y = new Float64Array(path.y.length);
    for (let i = 0; i < x.length; i++) {
      const point = squareOn({ x: toDisplay * path.x[i]!, y: path.y[i]! }, pose);
      x[i] = toDisplay * point.x;
      y[i] = point.y;
    }
    return { ...path, x, y };
  };
  const limbs = (side: Limbs): Limbs => Object.fromEntries(BODY_JOINTS.map((joint) => [joint, square(side[joint])])) as unknown as Limbs;
  const left = limbs(body.left);
  const right = limbs(body.right);
  return { times: body.times, left, right, hipMid: midPath(left.hip, right.hip), shoulderMid: midPath(left.shoulder, right.shoulder) };
}
