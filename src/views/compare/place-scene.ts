import type { Scene, ScenePoint } from '../../overlay/scene.ts';

/** How picture pixels of one rep come to lie on a canvas. */
export interface Laying {
  /** Canvas pixels per picture pixel. */
  readonly scale: number;
  /** Picture x that lies at `toX`, and picture y that lies at `toY`, in canvas pixels. */
  readonly fromX: number;
  readonly toX: number;
  readonly fromY: number;
  readonly toY: number;
  /** True turns the travel round, so that two reps filmed from opposite sides run the same way. */
  readonly isMirrored: boolean;
}

/** The scene in canvas pixels, so that it can be drawn at scale 1; lengths scale, angles stay. */
export function layScene(scene: Scene, lay: Laying): Scene {
  const turn = lay.isMirrored ? -1 : 1;
  const x = (value: number) => lay.toX + turn * (value - lay.fromX) * lay.scale;
  const at = (point: ScenePoint): ScenePoint => ({ x: x(point.x), y: lay.toY + (point.y - lay.fromY) * lay.scale });
  return {
    bones: scene.bones.map((bone) => ({ ...bone, from: at(bone.from), to: at(bone.to) })),
    joints: scene.joints.map(at),
    arcs: scene.arcs.map((arc) => ({ ...arc, at: at(arc.at), a: at(arc.a), b: at(arc.b) })),
    leans: scene.leans.map((lean) => ({ ...lean, hips: at(lean.hips), shoulders: at(lean.shoulders) })),
    spans: scene.spans.map((span) => ({ ...span, fromX: x(span.fromX), toX: x(span.toX), y: lay.toY + (span.y - lay.fromY) * lay.scale })),
    legLengthPx: scene.legLengthPx * lay.scale,
  };
}
