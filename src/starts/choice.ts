/** A proposal that the user may override. */
export interface Choice<T> {
  readonly value: T;
  readonly source: 'detected' | 'user';
  /** 0 to 1, how clearly the clip shows it; 1 when the user chose it. */
  readonly confidence: number;
}
