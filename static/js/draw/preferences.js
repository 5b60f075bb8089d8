/**
 * How somebody likes the board, remembered in this browser until it is closed: nothing about a person.
 *   hand     "right" | "left": the tools stand on the other side for a left hand
 *   finger   "rests" | "moves": what one finger does while a pen is in use
 * Pure: the storage is handed in; where it is closed to us, nothing is remembered.
 */

const USUAL = { hand: "right", finger: "rests" };
const OTHER = { hand: "left", finger: "moves" };

export function createPreferences(storage) {
  const now = { ...USUAL };
  for (const name of Object.keys(USUAL)) {
    if (read(name) === OTHER[name]) now[name] = OTHER[name];
  }

  function read(name) {
    try {
      return storage().getItem(`board-${name}`);
    } catch {
      return null;
    }
  }

  function write(name) {
    try {
      storage().setItem(`board-${name}`, now[name]);
    } catch {
      // It holds as long as the page is open.
    }
  }

  return {
    isOther: (name) => now[name] === OTHER[name],
    turn(name) {
      now[name] = now[name] === USUAL[name] ? OTHER[name] : USUAL[name];
      write(name);
    },
  };
}
