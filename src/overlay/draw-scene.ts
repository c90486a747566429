import { numberText } from '../cues/phrase.ts';
import type { MeasureId } from '../shapes/measure.ts';
import type { Arc, Bone, Lean, Scene, ScenePoint, Span } from './scene.ts';

/** Any 2-D context: a canvas on the page or an off-screen one. */
export type DrawingContext = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;

/** Colours of the drawing; each mark is drawn on a dark halo so that it reads on any clip. */
export interface Inks {
  readonly mark: string;
  readonly lead: string;
  readonly other: string;
  readonly halo: string;
  readonly onMark: string;
}

/** Tape yellow marks, white lead leg, pale blue other leg, on a dark halo. */
export const CLIP_INKS: Inks = {
  mark: '#ffc629',
  lead: '#ffffff',
  other: '#9fd8ff',
  halo: 'rgba(6, 18, 22, 0.72)',
  onMark: '#10211e',
};

/** How a scene is laid on its canvas. */
export interface Placement {
  /** Canvas pixels per picture pixel. */
  readonly scale: number;
  /** Canvas pixels per CSS pixel, for text and line widths. */
  readonly density: number;
  /** 0 to 1 for the body line alone; marks are always full. */
  readonly bodyAlpha: number;
  /** The measure that is pointed out, or null. */
  readonly measure: MeasureId | null;
  /** Writes the numbers beside the marks. */
  readonly withNumbers: boolean;
  /** Height of the numbers in CSS pixels. */
  readonly textPx: number;
  /** How much thicker than over a picture the body is drawn, where there is none to cover; 1 when left out. */
  readonly thickness?: number;
}

/** Draws a scene on the context; the caller clears it and sets the origin to the picture's top-left corner. */
export function drawScene(ctx: DrawingContext, scene: Scene, place: Placement, inks: Inks = CLIP_INKS): void {
  ctx.save();
  ctx.lineCap = 'round';
  ctx.lineJoin = 'round';
  drawBones(ctx, scene.bones, place, inks);
  const drawn: Box[] = [];
  for (const span of scene.spans) drawSpan(ctx, span, scene.legLengthPx, place, inks, drawn);
  for (const lean of scene.leans) drawLean(ctx, lean, scene.legLengthPx, place, inks, drawn);
  for (const arc of scene.arcs) drawArc(ctx, arc, scene.legLengthPx, place, inks, drawn);
  ctx.restore();
}

interface Box {
  readonly x: number;
  readonly y: number;
  readonly w: number;
  readonly h: number;
}

const scaled = (point: ScenePoint, scale: number): ScenePoint => ({ x: point.x * scale, y: point.y * scale });

function line(ctx: DrawingContext, points: readonly ScenePoint[], width: number, colour: string, halo: string | null, haloBy: number): void {
  const trace = () => {
    ctx.beginPath();
    points.forEach((point, index) => {
      if (index === 0) ctx.moveTo(point.x, point.y);
      else ctx.lineTo(point.x, point.y);
    });
    ctx.stroke();
  };
  if (halo !== null) {
    ctx.strokeStyle = halo;
    ctx.lineWidth = width + 2 * haloBy;
    trace();
  }
  ctx.strokeStyle = colour;
  ctx.lineWidth = width;
  trace();
}

function drawBones(ctx: DrawingContext, bones: readonly Bone[], place: Placement, inks: Inks): void {
  const { scale, density } = place;
  ctx.globalAlpha = place.bodyAlpha;
  const order: readonly Bone['part'][] = ['other', 'arm', 'trunk', 'lead'];
  for (const part of order) {
    for (const bone of bones) {
      if (bone.part !== part) continue;
      const colour = part === 'other' ? inks.other : inks.lead;
      const width = (part === 'arm' ? 1.5 : 2.5) * density * (place.thickness ?? 1);
      line(ctx, [scaled(bone.from, scale), scaled(bone.to, scale)], width, colour, inks.halo, density);
    }
  }
  ctx.globalAlpha = 1;
}

function drawLean(ctx: DrawingContext, lean: Lean, legPx: number, place: Placement, inks: Inks, drawn: Box[]): void {
  const { scale, density } = place;
  const hips = scaled(lean.hips, scale);
  const shoulders = scaled(lean.shoulders, scale);
  const length = Math.hypot(shoulders.x - hips.x, shoulders.y - hips.y);
  const strong = place.measure === null || place.measure === lean.measure;
  const top = { x: hips.x, y: hips.y - length };
  ctx.setLineDash([5 * density, 6 * density]);
  line(ctx, [hips, top], 1.5 * density, inks.mark, inks.halo, density);
  ctx.setLineDash([]);
  line(ctx, [hips, shoulders], (strong ? 5 : 3) * density, inks.mark, inks.halo, 1.5 * density);
  const from = -Math.PI / 2;
  const to = Math.atan2(shoulders.y - hips.y, shoulders.x - hips.x);
  arcStroke(ctx, hips, Math.min(length * 0.75, legPx * 0.45 * scale), from, to, place, inks, strong);
  const side = Math.sign(shoulders.x - hips.x) || 1;
  if (place.withNumbers) {
    label(ctx, `${numberText(lean.deg, 'deg')}°`, { x: top.x - side * (place.textPx * 0.9 + 12) * density, y: top.y + length * 0.2 }, place, inks, drawn, strong);
  }
}

/** The direction equal to `angle` that lies within half a turn of `reference`. */
function nearest(angle: number, reference: number): number {
  let result = angle;
  while (result - reference > Math.PI) result -= 2 * Math.PI;
  while (result - reference < -Math.PI) result += 2 * Math.PI;
  return result;
}

function arcStroke(ctx: DrawingContext, at: ScenePoint, radius: number, from: number, to: number, place: Placement, inks: Inks, strong: boolean): void {
  const end = nearest(to, from);
  const trace = (width: number, colour: string) => {
    ctx.beginPath();
    ctx.arc(at.x, at.y, radius, from, end, end < from);
    ctx.lineWidth = width;
    ctx.strokeStyle = colour;
    ctx.stroke();
  };
  const width = (strong ? 4 : 2.5) * place.density;
  trace(width + 2 * place.density, inks.halo);
  trace(width, inks.mark);
}

function drawArc(ctx: DrawingContext, arc: Arc, legPx: number, place: Placement, inks: Inks, drawn: Box[]): void {
  const { scale, density } = place;
  const at = scaled(arc.at, scale);
  const a = scaled(arc.a, scale);
  const b = scaled(arc.b, scale);
  const strong = place.measure === null || place.measure === arc.measure;
  if (arc.isAgainstLevel) {
    ctx.setLineDash([5 * density, 6 * density]);
    line(ctx, [at, b], 1.5 * density, inks.mark, inks.halo, density);
    ctx.setLineDash([]);
    line(ctx, [a, at], (strong ? 4 : 2.5) * density, inks.mark, inks.halo, 1.5 * density);
  } else {
    line(ctx, [a, at, b], (strong ? 4 : 2.5) * density, inks.mark, inks.halo, 1.5 * density);
  }
  const from = Math.atan2(a.y - at.y, a.x - at.x);
  const to = nearest(Math.atan2(b.y - at.y, b.x - at.x), from);
  const radius = Math.max(legPx * (arc.isAgainstLevel ? 0.3 : 0.15) * scale, 12 * density);
  arcStroke(ctx, at, radius, from, to, place, inks, strong);
  if (!place.withNumbers) return;
  // Outside the bend there is room; inside, the limbs are.
  const outward = (from + to) / 2 + Math.PI;
  const reach = (place.textPx * 1.15 + 10) * density;
  label(ctx, `${numberText(arc.deg, 'deg')}°`, { x: at.x + Math.cos(outward) * reach, y: at.y + Math.sin(outward) * reach }, place, inks, drawn, strong);
}

function drawSpan(ctx: DrawingContext, span: Span, legPx: number, place: Placement, inks: Inks, drawn: Box[]): void {
  const { scale, density } = place;
  const y = span.y * scale + legPx * 0.1 * scale;
  const from = { x: span.fromX * scale, y };
  const to = { x: span.toX * scale, y };
  const strong = place.measure === null || place.measure === span.measure;
  const tick = 7 * density;
  const width = (strong ? 5 : 3) * density;
  for (const end of [from, to]) {
    line(ctx, [{ x: end.x, y: y - tick }, { x: end.x, y: y + tick }], width, inks.mark, inks.halo, density);
  }
  line(ctx, [from, to], width, inks.mark, inks.halo, density);
  if (!place.withNumbers) return;
  label(ctx, `${numberText(span.legs, 'leg')} legs`, { x: (from.x + to.x) / 2, y: y + (place.textPx * 0.6 + 12) * density }, place, inks, drawn, strong);
}

function label(ctx: DrawingContext, text: string, at: ScenePoint, place: Placement, inks: Inks, drawn: Box[], strong: boolean): void {
  const { density } = place;
  const size = place.textPx * density * (strong ? 1 : 0.85);
  ctx.font = `700 ${size}px "Bahnschrift", "DIN Alternate", "Avenir Next Condensed", "Roboto Condensed", "Liberation Sans Narrow", sans-serif`;
  ctx.textAlign = 'center';
  ctx.textBaseline = 'middle';
  const w = ctx.measureText(text).width + 12 * density;
  const h = size * 1.25;
  let box = { x: at.x - w / 2, y: at.y - h / 2, w, h };
  for (const other of drawn) {
    const meets = box.x < other.x + other.w && other.x < box.x + box.w && box.y < other.y + other.h && other.y < box.y + box.h;
    if (meets) box = { ...box, y: other.y + other.h + 3 * density };
  }
  const room = 2 * density;
  box = {
    ...box,
    x: Math.min(Math.max(box.x, room), Math.max(room, ctx.canvas.width - w - room)),
    y: Math.min(Math.max(box.y, room), Math.max(room, ctx.canvas.height - h - room)),
  };
  drawn.push(box);
  ctx.fillStyle = strong ? inks.mark : inks.halo;
  ctx.beginPath();
  ctx.roundRect(box.x, box.y, w, h, 3 * density);
  ctx.fill();
  ctx.fillStyle = strong ? inks.onMark : inks.mark;
  ctx.fillText(text, box.x + w / 2, box.y + h / 2 + size * 0.04);
}
