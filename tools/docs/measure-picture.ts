import { angleBetweenDeg, interiorAngleDeg, leanFromVerticalDeg, segmentAngleDeg, thighElevationDeg } from '../../src/geometry/index.ts';
import type { MeasureId } from '../../src/shapes/measure.ts';
import { DRIVING, HANDS_DOWN, IN_PASSE, KNEELING, LAUNCHING, LOW_LUNGE, LUNGING, STANDING, STEPPING } from './poses.ts';
import type { BodyPose, Figure, FigureLeg, FigurePoint } from './stick-figure.ts';
import { stickFigure } from './stick-figure.ts';

/** A drawn page picture and the figure that it shows, computed from the drawn points; null for a picture without a number. */
export interface MeasurePicture {
  readonly svg: string;
  readonly shown: string | null;
}

const PX = 96;
const INK = '#1b2a38';
const FAR = '#8c9aa8';
const MARK = '#b4400f';
const WASH = '#f6d9c8';
const PAPER = '#fbfaf7';

type Drawn = { readonly body: string; readonly marks: string; readonly shown: string | null };
interface Scene {
  readonly figures: readonly { readonly figure: Figure; readonly atX: number; readonly faint: boolean }[];
  readonly draw: (figures: readonly Figure[]) => { readonly marks: string; readonly shown: string | null };
}

/** The picture of one measure. Both step lengths share one, and so do both step times. */
export function measurePicture(id: MeasureId): MeasurePicture {
  const scene = SCENES[id];
  const figures = scene.figures.map(({ figure, atX }) => shifted(figure, atX));
  const { marks, shown } = scene.draw(figures);
  const body = figures.map((figure, i) => drawFigure(figure, scene.figures[i]?.faint ?? false)).join('\n');
  return { svg: frame({ body, marks, shown }, figures), shown };
}

const one = (pose: BodyPose, draw: (figure: Figure) => { readonly marks: string; readonly shown: string | null }): Scene => ({
  figures: [{ figure: stickFigure(pose), atX: 0, faint: false }],
  draw: (figures) => draw(first(figures)),
});

const two = (from: BodyPose, to: BodyPose, apart: number, draw: (from: Figure, to: Figure) => { readonly marks: string; readonly shown: string | null }): Scene => ({
  figures: [
    { figure: stickFigure(from), atX: 0, faint: true },
    { figure: stickFigure(to), atX: apart, faint: false },
  ],
  draw: (figures) => draw(first(figures), figures[1] ?? first(figures)),
});

const interval = (from: BodyPose, to: BodyPose, label: string): Scene => two(from, to, 1.7, (a, b) => ({ marks: arrow({ x: a.hip.x + 0.35, y: 2.05 }, { x: b.hip.x - 0.1, y: 2.05 }, label), shown: null }));

const stepLength = two(STANDING, STEPPING, 0.62, (a, b) => span(a.other.ankle, b.lead.ankle));
const stepTime = two(STANDING, STEPPING, 0.62, (a, b) => ({ marks: arrow({ x: a.hip.x, y: 2.1 }, { x: b.hip.x + 0.4, y: 2.1 }, 'seconds from landing to landing'), shown: null }));

const SCENES: Readonly<Record<MeasureId, Scene>> = {
  'set.backKnee': one(LOW_LUNGE, (f) => kneeArc(f.lead)),
  'set.frontKnee': one(LOW_LUNGE, (f) => kneeArc(f.other)),
  'set.lungeRatio': one(LOW_LUNGE, (f) => span(f.lead.ankle, f.other.ankle)),
  'set.trunkLean': one(LOW_LUNGE, lean),
  'set.armsBehind': one(LOW_LUNGE, armsBehind),
  'set.passeKnee': one(IN_PASSE, (f) => kneeArc(f.lead)),
  'set.passeThigh': one(IN_PASSE, (f) => elevation(f.lead)),
  'passe.knee': one(DRIVING, (f) => kneeArc(f.lead)),
  'passe.thigh': one(DRIVING, (f) => elevation(f.lead)),
  'launch.trunkLean': one(LAUNCHING, lean),
  'launch.pushKnee': one(LAUNCHING, (f) => kneeArc(f.other)),
  'launch.hipSpeed': one(LAUNCHING, (f) => ({ marks: `${dot(f.hip)}${arrow({ x: f.hip.x + 0.08, y: f.hip.y }, { x: f.hip.x + 0.95, y: f.hip.y }, 'leg lengths / s')}`, shown: null })),
  'hurdle.flight': interval(LAUNCHING, LUNGING, 'seconds in the air'),
  'plant.lungeRatio': one(LUNGING, (f) => span(f.other.ankle, f.lead.ankle)),
  'plant.trunkLean': one(LUNGING, lean),
  'plant.frontKnee': one(LUNGING, (f) => kneeArc(f.lead)),
  'kick.split': one(HANDS_DOWN, split),
  'kick.rate': two(LUNGING, HANDS_DOWN, 0.35, (_, f) => ({ marks: turning(f), shown: null })),
  'kick.rearKnee': one(HANDS_DOWN, (f) => kneeArc(f.other)),
  'steps.count': two(STANDING, STEPPING, 0.62, (a, b) => ({ marks: `${footprint(b.lead, '1')}${footprintAt(a.other.ankle.x + 1.9, '2')}`, shown: null })),
  'steps.length[1]': stepLength,
  'steps.length[2]': stepLength,
  'steps.time[1]': stepTime,
  'steps.time[2]': stepTime,
  'steps.firstLeg': one(STEPPING, (f) => ({ marks: footprint(f.lead, 'lead foot'), shown: null })),
  'time.toPlant': interval(STANDING, LUNGING, 'first move → lunge'),
  'time.toHands': interval(STANDING, HANDS_DOWN, 'first move → hands'),
  'mark.toHands': two(KNEELING, HANDS_DOWN, 1.9, (a, b) => ({ marks: floorSpan(a.other.toe.x, b.hand.x, 'metres'), shown: null })),
};

function kneeArc({ hip, knee, ankle }: FigureLeg): { marks: string; shown: string | null } {
  const value = interiorAngleDeg(down(hip), down(knee), down(ankle));
  return { marks: `${wedge(knee, hip, ankle)}${limb(hip, knee)}${limb(knee, ankle)}${dot(knee)}${label(away(knee, hip, ankle), degrees(value))}`, shown: degrees(value) };
}

function lean({ hip, shoulder }: Figure): { marks: string; shown: string | null } {
  const value = leanFromVerticalDeg(down(hip), down(shoulder), 'left-to-right');
  const up = { x: hip.x, y: hip.y + 0.75 };
  return { marks: `${wedge(hip, up, shoulder, 0.36)}${dashed(hip, up)}${limb(hip, shoulder)}${dot(hip)}${label({ x: hip.x - 0.2, y: hip.y + 0.5 }, degrees(value))}`, shown: degrees(value) };
}

function elevation({ hip, knee }: FigureLeg): { marks: string; shown: string | null } {
  const value = thighElevationDeg(down(hip), down(knee), 'left-to-right');
  const level = { x: hip.x + 0.8, y: hip.y };
  return { marks: `${wedge(hip, level, knee, 0.42)}${dashed({ x: hip.x - 0.1, y: hip.y }, level)}${limb(hip, knee)}${dot(hip)}${label({ x: hip.x + 0.72, y: hip.y + 0.12 }, `${degrees(value)} above level`)}`, shown: degrees(value) };
}

function armsBehind({ shoulder, elbow, hip }: Figure): { marks: string; shown: string | null } {
  const arm = segmentAngleDeg(down(shoulder), down(elbow), 'left-to-right');
  const trunk = segmentAngleDeg(down(shoulder), down(hip), 'left-to-right');
  const value = arm === null || trunk === null ? null : ((trunk - arm + 540) % 360) - 180;
  return { marks: `${wedge(shoulder, hip, elbow, 0.26)}${limb(shoulder, hip)}${limb(shoulder, elbow)}${dot(shoulder)}${label({ x: shoulder.x - 0.62, y: shoulder.y + 0.16 }, degrees(value))}`, shown: degrees(value) };
}

function split({ lead, other }: Figure): { marks: string; shown: string | null } {
  const value = angleBetweenDeg(down(lead.hip), down(lead.knee), down(other.hip), down(other.knee));
  return { marks: `${wedge(lead.hip, lead.knee, other.knee, 0.3)}${limb(lead.hip, lead.knee)}${limb(other.hip, other.knee)}${dot(lead.hip)}${label({ x: lead.hip.x - 0.5, y: lead.hip.y - 0.22 }, degrees(value))}`, shown: degrees(value) };
}

function turning({ other, hip }: Figure): string {
  return `${limb(hip, other.knee)}${dot(hip)}${wedge(hip, { x: hip.x - 0.2, y: hip.y - 0.45 }, other.knee, 0.4)}${label({ x: hip.x - 0.62, y: hip.y - 0.12 }, '° / s')}`;
}

function span(back: FigurePoint, front: FigurePoint): { marks: string; shown: string | null } {
  const ratio = Math.abs(front.x - back.x).toFixed(2);
  return { marks: `${dot(back)}${dot(front)}${floorSpan(back.x, front.x, `${ratio} leg lengths`, back, front)}`, shown: ratio };
}

function floorSpan(fromX: number, toX: number, text: string, from?: FigurePoint, to?: FigurePoint): string {
  const y = -0.16;
  const drops = [from, to].map((point) => (point === undefined ? '' : dashed(point, { x: point.x, y })));
  return `${drops.join('')}${path(`M${at({ x: fromX, y })}L${at({ x: toX, y })}`, `stroke="${MARK}" stroke-width="3"`)}${tick(fromX, y)}${tick(toX, y)}${label({ x: (fromX + toX) / 2, y: y - 0.14 }, text)}`;
}

function footprint(leg: FigureLeg, text: string): string {
  return footprintAt(leg.ankle.x, text);
}

function footprintAt(x: number, text: string): string {
  return `<ellipse cx="${px(x + 0.1)}" cy="${py(-0.09)}" rx="14" ry="4" fill="${MARK}"/>${label({ x: x + 0.1, y: -0.28 }, text)}`;
}

function drawFigure(figure: Figure, faint: boolean): string {
  const leg = ({ hip, knee, ankle, toe }: FigureLeg): string => `M${at(hip)}L${at(knee)}L${at(ankle)}L${at(toe)}`;
  const far = faint ? '#c9d1d8' : FAR;
  const near = faint ? '#b3bec8' : INK;
  return [
    path(leg(figure.other), `stroke="${far}" stroke-width="7"`),
    path(`M${at(figure.hip)}L${at(figure.shoulder)}M${at(figure.shoulder)}L${at(figure.elbow)}L${at(figure.hand)}`, `stroke="${near}" stroke-width="7"`),
    `<circle cx="${px(figure.head.x)}" cy="${py(figure.head.y)}" r="12" fill="${near}"/>`,
    path(leg(figure.lead), `stroke="${near}" stroke-width="7"`),
  ].join('\n');
}

function frame({ body, marks }: Drawn, figures: readonly Figure[]): string {
  const points = figures.flatMap((f) => [f.hip, f.shoulder, f.elbow, f.hand, f.head, ...[f.lead, f.other].flatMap((l) => [l.knee, l.ankle, l.toe])]);
  const left = Math.floor(Math.min(...points.map((p) => p.x)) * PX) - 90;
  const right = Math.ceil(Math.max(...points.map((p) => p.x)) * PX) + 110;
  const top = Math.min(Math.floor(-Math.max(...points.map((p) => p.y)) * PX) - 30, -225);
  const bottom = 56;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="${left} ${top} ${right - left} ${bottom - top}" width="${right - left}" height="${bottom - top}" font-family="system-ui, sans-serif" font-size="15" fill="none" stroke-linecap="round" stroke-linejoin="round">`,
    `<rect x="${left}" y="${top}" width="${right - left}" height="${bottom - top}" fill="${PAPER}"/>`,
    `<path d="M${left} 0H${right}" stroke="#d8d3c8" stroke-width="3"/>`,
    body,
    marks,
    '</svg>',
    '',
  ].join('\n');
}

function wedge(joint: FigurePoint, a: FigurePoint, b: FigurePoint, radius = 0.2): string {
  const start = towards(joint, a, radius);
  const end = towards(joint, b, radius);
  const cross = (a.x - joint.x) * (b.y - joint.y) - (a.y - joint.y) * (b.x - joint.x);
  const r = (radius * PX).toFixed(1);
  return path(`M${at(joint)}L${at(start)}A${r} ${r} 0 0 ${cross > 0 ? 0 : 1} ${at(end)}Z`, `fill="${WASH}" stroke="${MARK}" stroke-width="2"`);
}

function limb(a: FigurePoint, b: FigurePoint): string {
  return path(`M${at(a)}L${at(b)}`, `stroke="${MARK}" stroke-width="3"`);
}

function dashed(a: FigurePoint, b: FigurePoint): string {
  return path(`M${at(a)}L${at(b)}`, `stroke="${MARK}" stroke-width="1.5" stroke-dasharray="4 5"`);
}

function arrow(from: FigurePoint, to: FigurePoint, text: string): string {
  const tip = `M${px(to.x - 0.09)} ${py(to.y + 0.06)}L${at(to)}L${px(to.x - 0.09)} ${py(to.y - 0.06)}`;
  return `${path(`M${at(from)}L${at(to)}${tip}`, `stroke="${MARK}" stroke-width="3"`)}${label({ x: (from.x + to.x) / 2, y: from.y + 0.12 }, text)}`;
}

function tick(x: number, y: number): string {
  return path(`M${px(x)} ${py(y + 0.06)}V${py(y - 0.06)}`, `stroke="${MARK}" stroke-width="3"`);
}

function dot(point: FigurePoint): string {
  return `<circle cx="${px(point.x)}" cy="${py(point.y)}" r="4.5" fill="${PAPER}" stroke="${MARK}" stroke-width="2.5"/>`;
}

function label(point: FigurePoint, text: string): string {
  return `<text x="${px(point.x)}" y="${py(point.y - 0.05)}" text-anchor="middle" fill="${MARK}" font-weight="600" stroke="${PAPER}" stroke-width="4" paint-order="stroke">${text}</text>`;
}

/** Where a joint's label stands: on the open side of the angle. */
function away(joint: FigurePoint, a: FigurePoint, b: FigurePoint): FigurePoint {
  const towardA = towards(joint, a, 1);
  const towardB = towards(joint, b, 1);
  const middle = { x: (towardA.x + towardB.x) / 2 - joint.x, y: (towardA.y + towardB.y) / 2 - joint.y };
  const length = Math.hypot(middle.x, middle.y) || 1;
  return { x: joint.x - (middle.x / length) * 0.26, y: joint.y - (middle.y / length) * 0.26 };
}

function towards(from: FigurePoint, to: FigurePoint, length: number): FigurePoint {
  const distance = Math.hypot(to.x - from.x, to.y - from.y) || 1;
  return { x: from.x + ((to.x - from.x) / distance) * length, y: from.y + ((to.y - from.y) / distance) * length };
}

function shifted(figure: Figure, by: number): Figure {
  const move = ({ x, y }: FigurePoint): FigurePoint => ({ x: x + by, y });
  const moveLeg = ({ hip, knee, ankle, toe }: FigureLeg): FigureLeg => ({ hip: move(hip), knee: move(knee), ankle: move(ankle), toe: move(toe) });
  return { lead: moveLeg(figure.lead), other: moveLeg(figure.other), hip: move(figure.hip), shoulder: move(figure.shoulder), elbow: move(figure.elbow), hand: move(figure.hand), head: move(figure.head) };
}

function first(figures: readonly Figure[]): Figure {
  const figure = figures[0];
  if (figure === undefined) throw new RangeError('a picture needs a figure');
  return figure;
}

const down = ({ x, y }: FigurePoint): FigurePoint => ({ x, y: -y });
const px = (x: number): string => (x * PX).toFixed(1);
const py = (y: number): string => (-y * PX).toFixed(1);
const at = (point: FigurePoint): string => `${px(point.x)} ${py(point.y)}`;
const path = (d: string, look: string): string => `<path d="${d}" ${look}/>`;
const degrees = (value: number | null): string => (value === null ? '' : `${value.toFixed(0)}°`);
