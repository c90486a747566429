import { useEffect, useState } from 'react';
import type { Session } from '../../state/session.ts';

/** Opens clips that are dropped anywhere on the page, while on; true while files hang over it. */
export function useClipDrop(session: Session, isOn: boolean): boolean {
  const [isDragging, setDragging] = useState(false);
  useEffect(() => {
    if (!isOn) return;
    /** Enter and leave fire for every element on the way: the page is left when both have come equally often. */
    let depth = 0;
    const holdsFiles = (event: DragEvent) => event.dataTransfer?.types.includes('Files') === true;
    const onEnter = (event: DragEvent) => {
      if (!holdsFiles(event)) return;
      depth += 1;
      setDragging(true);
    };
    const onLeave = (event: DragEvent) => {
      if (!holdsFiles(event)) return;
      depth -= 1;
      if (depth <= 0) setDragging(false);
    };
    const onOver = (event: DragEvent) => {
      if (holdsFiles(event)) event.preventDefault();
    };
    const onDrop = (event: DragEvent) => {
      if (!holdsFiles(event)) return;
      event.preventDefault();
      depth = 0;
      setDragging(false);
      const files = [...(event.dataTransfer?.files ?? [])];
      if (files.length > 0) session.open(files);
    };
    window.addEventListener('dragenter', onEnter);
    window.addEventListener('dragleave', onLeave);
    window.addEventListener('dragover', onOver);
    window.addEventListener('drop', onDrop);
    return () => {
      window.removeEventListener('dragenter', onEnter);
      window.removeEventListener('dragleave', onLeave);
      window.removeEventListener('dragover', onOver);
      window.removeEventListener('drop', onDrop);
    };
  }, [session, isOn]);
  return isDragging;
}
