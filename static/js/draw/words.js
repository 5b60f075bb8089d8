/** Every sentence the board says by itself, in one place. Those that are always there stand in the templates. */

export const SAVING = {
  ready: () => "Every line is saved as you draw",
  saving: () => "Saving…",
  saved: (time) => `Saved ${time}`,
  unsaved: () => "Not saved yet – keep this page open",
};

const WHY_UNSAVED = {
  "signed out": "The time for drawing on this device is over. Please call the staff; keep this page open.",
  offline: "The connection is lost. It is tried again by itself.",
  "too slow": "The connection is very slow. It is tried again by itself.",
};

const STAFF_SIGNED_OUT =
  "You are signed out. Sign in again in another window, then come back: it goes on by itself. Keep this page open.";

export function whyUnsaved(why, who) {
  if (why === "signed out" && who === "clinician") return STAFF_SIGNED_OUT;
  return WHY_UNSAVED[why] ?? "";
}

export const HINTS = {
  choose: "First choose what it feels like.",
  full: "The drawing is full. Undo does not make room; please tell the staff.",
  open: "The line was not closed. Draw all the way round, back to where you began.",
  beside: "That was beside the body, so nothing was kept.",
  cleared: "Everything is cleared. Undo brings it back.",
  others: "What somebody else drew stays; it cannot be cleared here.",
  pen: "A pen is in use, so fingers and the hand do not draw.",
  finger: "Fingers draw again.",
};

export const SIDES = {
  patient: { left: "YOUR LEFT", right: "YOUR RIGHT" },
  others: { left: "PATIENT'S LEFT", right: "PATIENT'S RIGHT" },
};

export const VIEW_NAMES = { front: "Front", back: "Back" };

export function howStrong(label) {
  return `How strong? ${label}`;
}

export function strengthMark(number) {
  return number === undefined ? "how strong?" : `${number} of 10`;
}

export function notKept(reasons) {
  const count = reasons.length === 1 ? "Something you did could not be kept" : `${reasons.length} things could not be kept`;
  return `${count}: ${[...new Set(reasons)].join(" ")}`;
}

/** What stands on the figure, for those who cannot see it: [{label, view, count}]. */
export function drawnSoFar(parts) {
  if (parts.length === 0) return "Nothing is drawn yet.";
  const words = parts.map(({ label, view, count }) => `${label}, ${VIEW_NAMES[view].toLowerCase()}: ${count === 1 ? "1 line" : `${count} lines`}`);
  return `Drawn so far: ${words.join("; ")}.`;
}
