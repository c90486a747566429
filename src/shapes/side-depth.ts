import type { Rep } from '../phases/find-rep.ts';
import type { Side } from '../starts/start.ts';

/** How far a foot stands beside the plane of travel, in leg lengths: half a hip width less what feet close in (Drillis & Contini: half hip width 0.19 leg; chosen 0.07). */
const FOOT_BESIDE = 0.07;
/** Distance of the camera at which the picture is as wide as it is far away, as a share of the picture's longer side: a phone's usual lens. From memory, not checked. */
const FOCAL_SHARE = 0.9;

/** The side of the body nearer to the camera: who travels to the right shows the right side. */
export function nearSide(rep: Rep): Side {
  return rep.direction.value === 'left-to-right' ? 'right' : 'left';
}

/**
 * Where a foot's x would be if it stood in the plane of travel, pixels in the athlete's frame of travel: the near foot
 * looks larger and so farther from the picture's middle, the far foot nearer to it (central projection, CHECKVALUES CG-5).
 */
export function inPlaneX(x: number, side: Side, rep: Rep, widthPx: number, heightPx: number): number {
  const middle = rep.direction.value === 'left-to-right' ? widthPx / 2 : -widthPx / 2;
  const share = (FOOT_BESIDE * rep.legPx) / (FOCAL_SHARE * Math.max(widthPx, heightPx));
  return middle + (x - middle) * (side === nearSide(rep) ? 1 - share : 1 + share);
}
