/** The closed list of expected failures, each with the facts needed to phrase it. The words live in src/cues/problem-words.ts. */
export type Problem =
  | { readonly kind: 'unreadable-file'; readonly fileName: string }
  | { readonly kind: 'empty-file'; readonly fileName: string }
  | { readonly kind: 'file-too-big'; readonly sizeBytes: number; readonly limitBytes: number }
  | { readonly kind: 'picture-unreadable'; readonly fileName: string }
  | { readonly kind: 'no-video-track'; readonly fileName: string }
  | { readonly kind: 'codec-not-decodable'; readonly fileName: string; readonly codec: string }
  | { readonly kind: 'clip-too-long'; readonly durationS: number; readonly limitS: number }
  | { readonly kind: 'decoder-failed'; readonly fileName: string; readonly atS: number }
  | { readonly kind: 'nobody-found' }
  | { readonly kind: 'no-start-found' }
  | { readonly kind: 'backend-unavailable'; readonly tried: readonly string[] }
  | { readonly kind: 'analysis-stalled'; readonly stage: string }
  | { readonly kind: 'storage-full' }
  | { readonly kind: 'clip-not-kept' }
  | { readonly kind: 'storage-unavailable' }
  | { readonly kind: 'file-too-new'; readonly version: number }
  | { readonly kind: 'cancelled' };

/** Either a value or the expected reason why there is none. Broken calls throw instead. */
export type Outcome<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly problem: Problem };

/** Wraps a value as a success. */
export function success<T>(value: T): Outcome<T> {
  return { ok: true, value };
}

/** Wraps an expected failure. */
export function failure(problem: Problem): Outcome<never> {
  return { ok: false, problem };
}
