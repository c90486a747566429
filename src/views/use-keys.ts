import { useEffect } from 'react';
import { momentsInOrder } from '../state/moments-in-order.ts';
import { stepFrame } from '../state/step-frame.ts';
import type { OverlayMode, Session } from '../state/session.ts';

const OVERLAYS: readonly OverlayMode[] = ['moment', 'trace', 'off'];

/** What each key does, for the list of keys and for the tests. */
export const KEYS: readonly { readonly keys: string; readonly does: string }[] = [
  { keys: 'Space', does: 'play or pause' },
  { keys: '← →', does: 'one frame back or on' },
  { keys: '1 – 6', does: 'jump to a key moment' },
  { keys: 'O', does: 'body line: shape, trace, off' },
  { keys: 'P', does: 'projector' },
  { keys: 'Ctrl Z', does: 'undo, with Shift redo' },
  { keys: 'Esc', does: 'cancel, or leave the projector' },
];

/** The keys that work anywhere on the clip's screen; a field, a slider or a list keeps its own keys. */
export function useKeys(session: Session, isOn: boolean): void {
  useEffect(() => {
    if (!isOn) return;
    const onKey = (event: KeyboardEvent) => {
      if (event.defaultPrevented || event.altKey) return;
      const target = event.target instanceof Element ? event.target : null;
      const isWithin = (selector: string) => target !== null && target.closest(selector) !== null;
      const isTyping = isWithin('input:not([type=range]), select, textarea');
      const { clips, selectedId, isProjecting, overlay } = session.store.getState();
      const clip = clips.find((each) => each.id === selectedId);
      const done = () => {
        event.preventDefault();
      };

      if (event.key === 'Escape') {
        if (isProjecting) session.setProjecting(false);
        else if (clip?.stage.kind === 'working' || clip?.stage.kind === 'waiting') session.cancel(clip.id);
        else return;
        done();
        return;
      }
      if (clip?.stage.kind !== 'done' || isTyping) return;
      const reading = clip.stage.reading;

      if (event.ctrlKey || event.metaKey) {
        const key = event.key.toLowerCase();
        if (key === 'z' && event.shiftKey) session.redo(clip.id);
        else if (key === 'z') session.undo(clip.id);
        else if (key === 'y') session.redo(clip.id);
        else return;
        done();
        return;
      }
      const isOwnKey = isWithin('[role=slider], [data-own-keys], input[type=range]');
      if (event.key === 'ArrowLeft' || event.key === 'ArrowRight') {
        if (isOwnKey) return;
        stepFrame(session.playhead, reading.track, event.key === 'ArrowLeft' ? -1 : 1);
        done();
        return;
      }
      if (event.key === ' ') {
        if (isWithin('button, summary, a')) return;
        session.playhead.toggle();
        done();
        return;
      }
      if (event.key.toLowerCase() === 'o') {
        session.setOverlay(OVERLAYS[(OVERLAYS.indexOf(overlay) + 1) % OVERLAYS.length] ?? 'moment');
        done();
        return;
      }
      if (event.key.toLowerCase() === 'p') {
        session.setProjecting(!isProjecting);
        done();
        return;
      }
      const moment = /^[1-6]$/.test(event.key) ? momentsInOrder(reading.moments)[Number(event.key) - 1] : undefined;
      if (moment !== undefined) {
        session.showMoment(moment);
        done();
      }
    };
    window.addEventListener('keydown', onKey);
    return () => {
      window.removeEventListener('keydown', onKey);
    };
  }, [session, isOn]);
}
