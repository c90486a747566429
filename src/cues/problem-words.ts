import type { Problem } from '../units/outcome.ts';

/** What went wrong, and the way out. */
export interface ProblemWords {
  readonly title: string;
  readonly text: string;
  /** What the user can do now. */
  readonly action: string;
}

const CODEC_NAMES: Readonly<Record<string, string>> = { hevc: 'HEVC (H.265)', avc: 'H.264', vp8: 'VP8', vp9: 'VP9', av1: 'AV1' };

/** Title, text and way out for every expected failure. */
export function problemWords(problem: Problem): ProblemWords {
  switch (problem.kind) {
    case 'unreadable-file':
      return {
        title: 'This file cannot be read',
        text: `“${problem.fileName}” is damaged or of a kind that Lungeline does not know.`,
        action: 'Open the original from the phone (MP4, MOV or WebM), or save the file again and retry.',
      };
    case 'empty-file':
      return {
        title: 'This file is empty',
        text: `“${problem.fileName}” holds no bytes. It may still be on its way from the phone or the cloud.`,
        action: 'Wait until the copy has finished, then open it again.',
      };
    case 'file-too-big':
      return {
        title: 'This file is too big',
        text: `It has ${gigabyteText(problem.sizeBytes)}; Lungeline reads up to ${gigabyteText(problem.limitBytes)}.`,
        action: 'Cut it down to the start of the pass in the phone’s own gallery, then open it again.',
      };
    case 'picture-unreadable':
      return {
        title: 'This photo cannot be read here',
        text: `“${problem.fileName}” is damaged, or stored in a way that this browser cannot show (HEIC often cannot).`,
        action: 'Take a screenshot of the photo and open that, set the phone’s camera format to “Most Compatible”, or try a one-second clip.',
      };
    case 'no-video-track':
      return {
        title: 'There is no picture in this file',
        text: `“${problem.fileName}” holds sound but no video.`,
        action: 'Open the video itself, not a sound recording.',
      };
    case 'codec-not-decodable':
      return {
        title: 'This browser cannot play this kind of video',
        text: `“${problem.fileName}” is stored as ${CODEC_NAMES[problem.codec] ?? problem.codec}, which this browser on this device cannot decode.`,
        action:
          problem.codec === 'hevc'
            ? 'Set the phone’s camera format to “Most Compatible” for the next clip. For this one: try another browser, or convert it to H.264 with any video converter.'
            : 'Try another browser on this device, or convert the clip to H.264 (MP4) with any video converter.',
      };
    case 'clip-too-long':
      return {
        title: 'This clip is too long',
        text: `It lasts ${durationText(problem.durationS)}; Lungeline reads up to ${durationText(problem.limitS)}.`,
        action: 'Cut it down to the start of the pass in the phone’s own gallery, then open it again.',
      };
    case 'decoder-failed':
      return {
        title: 'The video stops being readable',
        text: `The decoder of this browser gave up at ${problem.atS.toFixed(1)} s of “${problem.fileName}”.`,
        action: 'Choose a part before that point, or convert the clip to H.264 (MP4) with any video converter.',
      };
    case 'nobody-found':
      return {
        title: 'No athlete found',
        text: 'Nobody could be followed through this clip: the athlete may be too small, too dark or outside the picture.',
        action: 'Tap the athlete in the picture, or film again side-on with the whole body in view and good light.',
      };
    case 'no-start-found':
      return {
        title: 'No start found',
        text: 'An athlete is in view, but no start of a tumbling pass was found in this part of the clip.',
        action: 'Pick the part of the clip that holds the start, or choose the start and place its moments by hand.',
      };
    case 'backend-unavailable':
      return {
        title: 'This browser cannot run the measurement',
        text: `None of the ways to compute worked here (tried: ${problem.tried.length === 0 ? 'none' : problem.tried.join(', ')}).`,
        action: 'Update the browser, close other tabs, or try another device.',
      };
    case 'analysis-stalled':
      return {
        title: 'The measurement got stuck',
        text: `Nothing moved for a while at the step “${problem.stage}”, so it was stopped.`,
        action: 'Try again. If it gets stuck at the same place, choose a shorter part of the clip or convert it to H.264 (MP4).',
      };
    case 'storage-full':
      return {
        title: 'This device has no room left',
        text: 'The last change could not be saved. Everything saved before is still there.',
        action: 'Save a backup file now, then free some space or remove kept clips.',
      };
    case 'clip-not-kept':
      return {
        title: 'No room for the clip',
        text: 'The rep is saved, with its figures and body lines. Only its clip is not kept.',
        action: 'Free some space or remove other kept clips, then keep it again.',
      };
    case 'storage-unavailable':
      return {
        title: 'Nothing can be saved here',
        text: 'This browser window does not let pages keep anything; private windows often do not. Clips can still be measured.',
        action: 'Open Lungeline in an ordinary window to save reps.',
      };
    case 'file-too-new':
      return {
        title: 'This file comes from a newer Lungeline',
        text: `It has version ${problem.version}, which this Lungeline does not know. The file was not changed.`,
        action: 'Reload the page to get the newest Lungeline, then open the file again.',
      };
    case 'cancelled':
      return { title: 'Stopped', text: 'You stopped the measurement.', action: 'Start it again whenever you like.' };
  }
}

/** Size in gigabytes (10⁹ bytes) with one decimal, e.g. "4.3 GB". */
function gigabyteText(bytes: number): string {
  return `${(bytes / 1e9).toFixed(1)} GB`;
}

/** "45 s" up to 90 s, then "2 min 5 s"; whole seconds, rounded. */
function durationText(durationS: number): string {
  const seconds = Math.round(durationS);
  if (seconds <= 90) return `${seconds} s`;
  const rest = seconds % 60;
  return `${Math.floor(seconds / 60)} min${rest === 0 ? '' : ` ${rest} s`}`;
}
