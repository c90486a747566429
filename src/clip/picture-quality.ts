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
  /** The sharpness of every frame of the track, NaN in gaps; left out when only the median is known. */
  readonly sharpnessByFrame?: Float32Array;
  /** How the still background moved in the picture; left out when it was not measured. */
  readonly background?: BackgroundMotion;
}

/** Where the still background lies in every frame of the track against the first one. */
export interface BackgroundMotion {
  /** Shift of what lay in the middle of the first picture, display pixels, x right and y down. */
  readonly xPx: Float32Array;
  readonly yPx: Float32Array;
  /** Turn about there, radians from x toward y. Engines before 0.6.0 did not measure it, and their shifts added up errors: they are not believed. */
  readonly turnRad?: Float32Array;
}
