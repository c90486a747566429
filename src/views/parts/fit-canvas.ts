/** Gives a canvas one pixel for each of the screen's (at most three per CSS pixel), wipes it, and tells its size in them. */
export function fitCanvas(surface: HTMLCanvasElement, ctx: CanvasRenderingContext2D): { readonly density: number; readonly width: number; readonly height: number } {
  const density = Math.min(window.devicePixelRatio || 1, 3);
  const width = Math.round(surface.clientWidth * density);
  const height = Math.round(surface.clientHeight * density);
  if (surface.width !== width || surface.height !== height) {
    surface.width = width;
    surface.height = height;
  }
  ctx.clearRect(0, 0, width, height);
  return { density, width, height };
}
