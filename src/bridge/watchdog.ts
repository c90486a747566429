/** Calls once when it has not been fed for a while. */
export class Watchdog {
  readonly #limitMs: number;
  readonly #onSilence: () => void;
  #timer: ReturnType<typeof setTimeout> | null = null;

  /** `limitMs` is the longest silence, milliseconds; throws RangeError unless it is positive. */
  constructor(limitMs: number, onSilence: () => void) {
    if (!(limitMs > 0)) throw new RangeError(`the limit must be positive, got ${String(limitMs)}`);
    this.#limitMs = limitMs;
    this.#onSilence = onSilence;
  }

  /** Starts the silence anew. */
  feed(): void {
    this.stop();
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#onSilence();
    }, this.#limitMs);
  }

  /** Stops watching. */
  stop(): void {
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = null;
  }
}
