/** Every sentence the board says by itself, in one place. Those that are always there stand in the templates. */

export const SAVING = {
  ready: () => "Every line is saved as you draw",
  saving: () => "Saving…",
  saved: (time) => `Saved ${time}`,
  kept: () => "Kept on this device",
  unsaved: () => "Not saved yet – keep this page open",
};

const WHY_UNSAVED = {
  "signed out": "The time for drawing on this device is over. Please call the staff.",
  offline: "The connection is lost. It is tried again by itself.",
  "too slow": "The connection is very slow. It is tried again by itself.",
};

const STAFF_SIGNED_OUT =
  "You are signed out. Sign in again in another window, then come back: it goes on by itself.";

/** who: "patient" (the device is in their hands) or "staff". */
export function whyUnsaved(why, who) {
  if (why === "signed out" && who !== "patient") return STAFF_SIGNED_OUT;
  return WHY_UNSAVED[why] ?? "";
}

export const HINTS = {
  choose: "First choose what it feels like.",
  "choose-finding": "First choose what was found.",
  full: "The drawing is full. Undo does not make room; please tell the staff.",
  open: "The line was not closed. Draw all the way round, back to where you began.",
  beside: "That was beside the body, so nothing was kept.",
  cleared: "Everything is cleared. Undo brings it back.",
  others: "What somebody else drew stays; it cannot be cleared here.",
  spot: "The worst spot is marked. Touch another place to move it there.",
  taken: "Taken away. Undo brings it back.",
  "nothing-there": "There is no line of yours under your finger.",
  "two-fingers": "Two fingers took the last thing back. Redo brings it back.",
  pen: "A pen is in use, so fingers and the hand do not draw.",
  finger: "Fingers draw again.",
};

/** A hint by its word; label: of a kind, words: of a region. */
export function hintOf(word, { label, words } = {}) {
  if (word === "marked") return marked(label, words);
  if (word === "marked-already") return `${sentence(words)} is marked already.`;
  return HINTS[word] ?? "";
}

export function marked(label, words) {
  return `${label} added: ${words}.`;
}

export function unmarked(label, words) {
  return `${label} taken away: ${words}.`;
}

export function worstAt(words) {
  return words ? `Worst spot: ${words}.` : "No worst spot is marked.";
}

export function countMarked(count) {
  return count === 0 ? "" : `${count} marked`;
}

export const SIDES = {
  patient: { left: "YOUR LEFT", right: "YOUR RIGHT" },
  others: { left: "PATIENT'S LEFT", right: "PATIENT'S RIGHT" },
};

export const VIEW_NAMES = { front: "Front", back: "Back" };

export function notKept(reasons) {
  const count = reasons.length === 1 ? "Something you did could not be kept" : `${reasons.length} things could not be kept`;
  return `${count}: ${[...new Set(reasons)].join(" ")}`;
}

/** What stands on the figure, for those who cannot see it, as far as the board knows it: regions by name, lines by number. */
export function drawnSoFar(strokes, kinds, body, spotMarked = "A worst spot is marked.") {
  const names = new Map(body.parts.flatMap((part) => part.regions).map((region) => [`${region.id} ${region.side}`, region.words]));
  const sentences = kinds.map((kind) => ofKind(strokes.filter((stroke) => stroke.kind === kind.id), kind.label, names)).filter(Boolean);
  if (strokes.some((stroke) => stroke.mode === "spot")) sentences.push(spotMarked);
  return sentences.length === 0 ? "Nothing is drawn yet." : `Drawn so far: ${sentences.join(" ")}`;
}

function ofKind(strokes, label, names) {
  const named = strokes.filter((stroke) => stroke.region).map((stroke) => names.get(stroke.region));
  const lines = ["front", "back"].map((view) => linesOn(view, strokes.filter((stroke) => !stroke.region && stroke.view === view).length));
  const said = [...new Set(named), ...lines.filter(Boolean)];
  return said.length === 0 ? "" : `${label}: ${said.join(", ")}.`;
}

function linesOn(view, count) {
  if (count === 0) return "";
  return `${count === 1 ? "1 line" : `${count} lines`} on the ${view}`;
}

function sentence(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

const entries = (count) => (count === 1 ? "1 entry" : `${count} entries`);

/** What a board could not send before it was closed, told to the staff. */
export const LEFTOVER = {
  here: (count) => `${entries(count)} drawn on this device ${count === 1 ? "is" : "are"} not saved yet. Sign in: then ${count === 1 ? "it is" : "they are"} sent.`,
  sent: (count) => `${entries(count)} drawn on this device before ${count === 1 ? "was" : "were"} sent and ${count === 1 ? "is" : "are"} saved now.`,
  refused: (reasons) => `${entries(reasons.length)} drawn on this device could not be kept: ${[...new Set(reasons)].join("; ")}.`,
  left: (count) => `${entries(count)} drawn on this device still ${count === 1 ? "waits" : "wait"} here to be sent.`,
};

/** The page without a connection. */
export const OFFLINE = {
  trying: "Trying again…",
  again: "It is tried again by itself every few seconds.",
  kept: (count) => `${entries(count)} of your drawing ${count === 1 ? "waits" : "wait"} on this device and will be saved when the connection is back.`,
  nothing: "Nothing of a drawing waits on this device.",
};
