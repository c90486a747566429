/** The built-in clip: an invented athlete of an invented club, rendered by computer for this project. */
const DEMO_PATH = 'demo/mika-two-step-run.mp4';

/** What the built-in clip is called. */
export const DEMO_TITLE = 'Mika, Brackwater Tumblers (invented)';

/** The built-in clip as a file from our own origin; null when it cannot be loaded. */
export async function loadDemo(): Promise<{ readonly file: File; readonly title: string } | null> {
  const response = await fetch(new URL(DEMO_PATH, document.baseURI)).catch((error: unknown) => {
    if (error instanceof TypeError) return null; // The only error of fetch for a network failure.
    throw error;
  });
  if (response === null || !response.ok) return null;
  const file = new File([await response.blob()], 'mika-two-step-run.mp4', { type: 'video/mp4' });
  return { file, title: DEMO_TITLE };
}
