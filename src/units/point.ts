/** A place in the picture in pixels: x to the right, y down, origin at the top-left corner. */
export interface Point {
  readonly x: number;
  readonly y: number;
}
