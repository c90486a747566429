import { useLayoutEffect, useState, type RefObject } from 'react';

/** Width at which a drawing is laid out before the page has told its own, CSS pixels. */
const FIRST_WIDTH_PX = 720;

/** Width of an element in CSS pixels; follows it. */
export function useWidth(element: RefObject<HTMLElement | null>): number {
  const [widthPx, setWidthPx] = useState(FIRST_WIDTH_PX);
  useLayoutEffect(() => {
    const box = element.current;
    if (box === null) return;
    const measure = () => {
      const { width } = box.getBoundingClientRect();
      if (width > 0) setWidthPx(width);
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(box);
    return () => { observer.disconnect(); };
  }, [element]);
  return widthPx;
}
