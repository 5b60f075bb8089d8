/**
 * The drawing in sentences for those who cannot see it. The server makes them, so they come a moment after
 * something was stored; until then, and while nothing gets through, stands what the board knows by itself.
 * Pure: fetching and timers are handed in.
 */

/** Asked this long after the last thing was stored, ms: not once a line. */
export const PAUSE_MS = 1500;

/** fetchWords() -> Promise of {sentences: [...]}; tell(text); own() -> the board's own summary. */
export function createTelling({ fetchWords, later, never, tell, own }) {
  let timer = null;
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
    /** The drawing has changed: at once what is known here; an answer on its way would be of before. */
    changed() {
      asked += 1;
      never(timer);
      tell(own());
    },
    /** All of it is stored. */
    stored() {
      never(timer);
      timer = later(ask, PAUSE_MS);
    },
  };
}
