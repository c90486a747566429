import { statSync } from 'node:fs';
import { basename } from 'node:path';
import type { Page } from 'playwright-core';
import type { Analysis, Overrides } from '../../src/reading/reading.ts';
import type { AnalysisRequest } from '../../workers/contract.ts';
import type { PlainTrack } from './page.ts';
import type { ResultRecord } from './results-schema.ts';

/** How to measure every clip of a batch. */
export interface BatchOptions {
  readonly request: AnalysisRequest;
  readonly overrides: Overrides;
  readonly withTracks: boolean;
}

/** One clip's record, its raw track when asked for, and where the time went. */
export interface ClipResult {
  readonly path: string;
  readonly record: ResultRecord;
  readonly track: PlainTrack | null;
  readonly profile: Analysis['profile'] | null;
}

/** Measures clips one after another in an open batch page; a clip that breaks the page gets a record and never loses the others. */
export async function* measureClips(page: Page, clips: readonly string[], options: BatchOptions): AsyncGenerator<ClipResult, void, undefined> {
  for (const path of clips) {
    if (statSync(path, { throwIfNoEntry: false })?.isFile() !== true) {
      yield { path, record: { clip: basename(path), ok: false, problem: { kind: 'no-such-file' } }, track: null, profile: null };
      continue;
    }
    try {
      await page.setInputFiles('#clips', path);
      const { record, track, profile } = await page.evaluate(
        async ({ request, overrides, withTracks }) => {
          const measurePage = window.lungelineMeasure;
          if (measurePage === undefined) throw new Error('the batch page did not start');
          return measurePage.measure(0, request, overrides, withTracks);
        },
        { request: options.request, overrides: options.overrides, withTracks: options.withTracks },
      );
      yield { path, record, track, profile };
    } catch (error) {
      const message = error instanceof Error ? error.message : String(error);
      yield { path, record: { clip: basename(path), ok: false, problem: { kind: 'engine-broke', message } }, track: null, profile: null };
      await page.reload();
    }
  }
}
