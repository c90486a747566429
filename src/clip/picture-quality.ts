/** Facts of the pictures around the athlete, measured while tracking. Whether they suffice is judged elsewhere. */
export interface PictureQuality {
  /** Median over the frames of the height of the box around the athlete's landmarks, display pixels; null when never found. */
  readonly athleteHeightPx: number | null;
  /** Median luma around the athlete, 0 (black) to 1 (white); null when never found. */
  readonly brightness: number | null;
  /**
   * Median sharpness around the athlete: root mean square difference of neighbouring luma samples divided by the
   * luma spread of the same region, 0 (flat or blurred) upward; a crisp picture reads about 0.2 or more. Null when never found.
   */
  readonly sharpness: number | null;
}
