/**
 * Syllables that the rule below would miss, counted by hand.
 * The list holds every such word of the cues; the test checks the rule against hand-counted words.
 */
const BY_HAND: Readonly<Record<string, number>> = { passé: 2, quicker: 2, being: 2, lungeline: 2, people: 2, level: 2, you: 1, your: 1, lifted: 2, fewer: 2, idea: 3, every: 2 };

/**
 * Syllables of an English word: groups of vowels, less a silent final e (but not after a consonant + l) and a silent "ed" or "es".
 * At least 1.
 */
export function syllables(word: string): number {
  const plain = word.toLowerCase().replace(/[^a-zé]/g, '');
  const known = BY_HAND[plain];
  if (known !== undefined) return known;
  const spoken = plain.replace(/(?<=[^aeiouytd])ed$/, '').replace(/(?<=[^aeiouycghszxl])es$/, '').replace(/(?<=[aeiou][^aeiouy]{1,2})e$/, '').replace(/(?<=y)ing$/, 'ing');
  return Math.max(1, (spoken.match(/[aeiouyé]+/g) ?? []).length);
}

/** U.S. school grade of a text: 0.39 words/sentence + 11.8 syllables/word − 15.59 (Kincaid, Fishburne, Rogers & Chissom 1975, Research Branch Report 8-75). */
export function gradeOf(counts: { readonly sentences: number; readonly words: number; readonly syllables: number }): number {
  return (0.39 * counts.words) / counts.sentences + (11.8 * counts.syllables) / counts.words - 15.59;
}

/** Sentences, words and syllables of a text. */
export function countText(text: string): { readonly sentences: number; readonly words: number; readonly syllables: number } {
  const words = text.split(/[\s–-]+/).filter((word) => /[a-zé]/i.test(word));
  return {
    sentences: (text.match(/[.!?](\s|$)/g) ?? []).length || 1,
    words: words.length,
    syllables: words.reduce((sum, word) => sum + syllables(word), 0),
  };
}

/** The reading grade of a text. */
export function readingGrade(text: string): number {
  return gradeOf(countText(text));
}
