/**
 * The drawing in sentences for those who cannot see it. The server makes them, so they come a moment after
 * something was stored; until then, and while nothing gets through, stands what the board knows by itself.
 * Pure: fetching and timers are handed in.
 */

/** Asked this long after the last thing was stored, ms: not once a line. */
export const PAUSE_MS = 1500;
/** The board's own words follow a change by this much, ms: nobody hears them while a line is being drawn. */
export const SOON_MS = 250;

/** fetchWords() -> Promise of {sentences: [...]}; tell(text); own() -> the board's own summary. */
export function createTelling({ fetchWords, later, never, tell, own }) {
  let timer = null;
  let soon = null;
  let asked = 0;

  async function ask() {
    const mine = ++asked;
    try {
      const { sentences } = await fetchWords();
      if (mine === asked && Array.isArray(sentences)) tell(sentences.length > 0 ? sentences.join(" ") : own());
    } catch {
      // What stands there is right, only shorter.
    }
  }

  return {
    /** The drawing has changed: soon what is known here; an answer on its way would be of before. */
    changed() {
      asked += 1;
      never(timer);
      never(soon);
      soon = later(() => tell(own()), SOON_MS);
    },
    /** All of it is stored. */
    stored() {
      never(timer);
      timer = later(ask, PAUSE_MS);
    },
  };
}
