import type { Glimpse, Progress, Stage } from './contract.ts';

/** Share of the whole job that each stage takes on the machine it was measured on; only the bar's evenness hangs on it. */
const STAGE_SHARES: Readonly<Record<Stage, number>> = { reading: 0.02, preparing: 0.08, finding: 0.2, measuring: 0.7 };
const STAGES: readonly Stage[] = ['reading', 'preparing', 'finding', 'measuring'];
/** Shortest time between two reports, milliseconds: about 12 a second. */
const REPORT_EVERY_MS = 80;
/** Earliest share of a stage from which its remaining time is told. */
const TELL_FROM = 0.2;

/** Turns the progress of stages into reports over the whole job, never more than about 12 a second. */
export class ProgressMeter {
  readonly #report: (progress: Progress) => void;
  readonly #now: () => number;
  #stage: Stage = 'reading';
  #stageStarted = 0;
  #lastReport = -Infinity;
  #lastFraction = 0;
  #isEndTold = false;

  /** `now` gives milliseconds that never run backwards. */
  constructor(report: (progress: Progress) => void, now: () => number = () => performance.now()) {
    this.#report = report;
    this.#now = now;
  }

  /** Begins a stage and reports it at once. */
  enter(stage: Stage): void {
    this.#stage = stage;
    this.#stageStarted = this.#now();
    this.#isEndTold = false;
    this.#send(0);
  }

  /** Reports how much of the current stage is done, 0 to 1. A glimpse is never held back, nor is the end. */
  at(part: number, glimpse: Glimpse | null = null): void {
    const isEnd = part >= 1 && !this.#isEndTold;
    this.#isEndTold ||= isEnd;
    if (isEnd || glimpse !== null || this.#now() - this.#lastReport >= REPORT_EVERY_MS) this.#send(Math.min(Math.max(part, 0), 1), glimpse);
  }

  #send(part: number, glimpse: Glimpse | null = null): void {
    const now = this.#now();
    this.#lastReport = now;
    let before = 0;
    let after = 0;
    const place = STAGES.indexOf(this.#stage);
    STAGES.forEach((stage, i) => {
      if (i < place) before += STAGE_SHARES[stage];
      if (i > place) after += STAGE_SHARES[stage];
    });
    const share = STAGE_SHARES[this.#stage];
    this.#lastFraction = Math.max(this.#lastFraction, Math.min(1, before + share * part));
    const elapsedS = (now - this.#stageStarted) / 1000;
    let secondsLeft: number | null = null;
    if (part >= TELL_FROM && (this.#stage === 'measuring' || this.#stage === 'finding')) {
      const stageS = elapsedS / part;
      secondsLeft = stageS * (1 - part) + (stageS * after) / share;
    }
    this.#report({ stage: this.#stage, fraction: this.#lastFraction, secondsLeft, ...(glimpse === null ? {} : { glimpse }) });
  }
}
