import { LANDMARK_INDEX, type LandmarkName } from '../../pose/landmarks.ts';
import type { Glimpse } from '../../../workers/contract.ts';

/** The lines of a body, joint by joint. */
const LINES: readonly (readonly LandmarkName[])[] = [
  ['leftWrist', 'leftElbow', 'leftShoulder', 'leftHip', 'leftKnee', 'leftAnkle', 'leftFootIndex'],
  ['rightWrist', 'rightElbow', 'rightShoulder', 'rightHip', 'rightKnee', 'rightAnkle', 'rightFootIndex'],
  ['leftShoulder', 'rightShoulder'],
  ['leftHip', 'rightHip'],
];

/** Draws a glimpse onto a canvas, with the body's lines where its joints are read. */
export function drawGlimpse(canvas: HTMLCanvasElement, { sidePx, rgba, xy }: Glimpse): void {
  const context = canvas.getContext('2d');
  if (context === null) return;
  canvas.width = sidePx;
  canvas.height = sidePx;
  context.putImageData(new ImageData(rgba, sidePx, sidePx), 0, 0);
  if (xy === null) return;
  context.lineWidth = 2.5;
  context.lineJoin = 'round';
  context.lineCap = 'round';
  context.strokeStyle = '#fff';
  for (const line of LINES) {
    context.beginPath();
    for (const joint of line) context.lineTo(xy[LANDMARK_INDEX[joint] * 2] ?? 0, xy[LANDMARK_INDEX[joint] * 2 + 1] ?? 0);
    context.stroke();
  }
}
