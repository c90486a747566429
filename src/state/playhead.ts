/** Whatever shows the clip and can be told what to do; seconds are clip seconds from the first shown frame. */
export interface Player {
  seek(t: number): void;
  play(): void;
  pause(): void;
  setRate(rate: number): void;
}

/** What is on the screen right now. */
export interface PlayheadState {
  /** Clip seconds of the frame that is shown. */
  readonly t: number;
  readonly isPlaying: boolean;
  /** Playback speed, 1 is as filmed. */
  readonly rate: number;
}

/**
 * The time of the frame on the screen, kept outside React: it changes with every frame, and only the overlay and the
 * time readout follow it.
 */
export interface Playhead {
  readonly now: () => PlayheadState;
  readonly subscribe: (listener: () => void) => () => void;
  /** Called by the player when a frame has been shown. */
  shown(t: number): void;
  /** Called by the player when playback starts or stops. */
  playing(isPlaying: boolean): void;
  /** Connects the player; returns the call that disconnects it. */
  attach(player: Player): () => void;
  seek(t: number): void;
  toggle(): void;
  pause(): void;
  setRate(rate: number): void;
}

/** A playhead at second 0 with nothing attached. */
export function createPlayhead(): Playhead {
  let state: PlayheadState = { t: 0, isPlaying: false, rate: 1 };
  let player: Player | null = null;
  /** A seek asked for while nothing is attached yet. */
  let waiting: number | null = null;
  const listeners = new Set<() => void>();

  const change = (part: Partial<PlayheadState>) => {
    state = { ...state, ...part };
    for (const listener of listeners) listener();
  };

  return {
    now: () => state,
    subscribe(listener) {
      listeners.add(listener);
      return () => {
        listeners.delete(listener);
      };
    },
    shown: (t) => {
      if (t !== state.t) change({ t });
    },
    playing: (isPlaying) => {
      if (isPlaying !== state.isPlaying) change({ isPlaying });
    },
    attach(next) {
      player = next;
      next.setRate(state.rate);
      if (waiting !== null) next.seek(waiting);
      waiting = null;
      return () => {
        if (player !== next) return;
        player = null;
        change({ isPlaying: false });
      };
    },
    seek(t) {
      player?.pause();
      if (player === null) {
        waiting = t;
        change({ t });
      } else player.seek(t);
    },
    toggle() {
      if (state.isPlaying) player?.pause();
      else player?.play();
    },
    pause: () => player?.pause(),
    setRate(rate) {
      player?.setRate(rate);
      change({ rate });
    },
  };
}
