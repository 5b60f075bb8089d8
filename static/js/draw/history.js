/**
 * What has been drawn and taken back, as a log of events that is only ever added to.
 *   stroke    {id, seq, view, kind, mode, nib_mm, points, own?}
 *   withdraw  {id, seq, strokes: [stroke ids], restores}: takes the strokes out, or puts them back
 * A withdrawal that repeats the last action backwards is a step of Undo or Redo. One aimed at strokes by name that
 * would look the same names its first stroke once more, so that after a reload it is still an action of its own.
 * The drawing and both stacks follow from the log alone, so they survive a reload.
 * A history: {log, done, undone}; done and undone hold {adds: bool, strokes: [ids]}.
 * Every function returns a new history; none changes the one it was given.
 * Pure: no document, no window.
 */

/**
 * From what the server has stored. Only one's own strokes (`own` is not false) can be undone or cleared here:
 * a clinician's Undo must not take back what the patient drew.
 */
export function rebuild(strokes, withdrawals) {
  const events = [...strokes.map(asStroke), ...withdrawals.map(asWithdrawal)];
  const log = events.sort(bySeq);
  return log.reduce(replay, { log: [], done: [], undone: [] });
}

export function addStroke(history, stroke) {
  return act(history, asStroke(stroke), { adds: true, strokes: [stroke.id] });
}

/** Take out everything of one's own that still stands: one event, one Undo. null when there is nothing. */
export function clearAll(history, stamp) {
  return takeOut(history, ownStrokes(history).map((stroke) => stroke.id), stamp);
}

/** Take out these strokes: one event, one Undo; {history, event} or null when there are none. */
export function takeOut(history, ids, { id, seq }) {
  if (ids.length === 0) return null;
  const event = { id, seq, strokes: unlikeAStep(history, ids), restores: false };
  return { history: act(history, asWithdrawal(event), { adds: false, strokes: event.strokes }), event };
}

function unlikeAStep(history, ids) {
  let strokes = ids;
  while (isStep(history, { strokes, restores: false })) strokes = [...strokes, ids[0]];
  return strokes;
}

function isStep(history, event) {
  return matches(history.undone.at(-1), event, true) || matches(history.done.at(-1), event, false);
}

/** Take back the last thing done; {history, event} or null. */
export function undo(history, { id, seq }) {
  const last = history.done.at(-1);
  if (!last) return null;
  const event = { id, seq, strokes: last.strokes, restores: !last.adds };
  return { history: stepBack(history, asWithdrawal(event)), event };
}

/** Do again what was last taken back; {history, event} or null. */
export function redo(history, { id, seq }) {
  const last = history.undone.at(-1);
  if (!last) return null;
  const event = { id, seq, strokes: last.strokes, restores: last.adds };
  return { history: stepForward(history, asWithdrawal(event)), event };
}

/** As if the event had never been: the server refused it, so the board must not show it. */
export function forget(history, eventId) {
  const rest = history.log.filter((event) => event.id !== eventId);
  return rest.reduce(replay, { log: [], done: [], undone: [] });
}

/** The strokes that stand, in painting order. */
export function standing(history) {
  const out = new Set();
  for (const event of history.log) {
    if (event.type === "stroke") out.add(event.id);
    else for (const id of event.strokes) event.restores ? out.add(id) : out.delete(id);
  }
  return history.log.filter((event) => event.type === "stroke" && out.has(event.id));
}

/** Every stroke ever drawn, withdrawn ones too: these count against the visit's limits. */
export function everDrawn(history) {
  return history.log.filter((event) => event.type === "stroke");
}

/** Ids of the kinds of one's own that stand, in the order they were first drawn. */
export function kindsUsed(history) {
  return [...new Set(ownStrokes(history).map((stroke) => stroke.kind).filter((kind) => kind !== null))];
}

/** One's own strokes that stand, in painting order. */
export function ownStrokes(history) {
  return standing(history).filter(isOwn);
}

/** The worst spot of each layer that has one: the spot of the highest number that stands. */
export function spots(history) {
  const marked = standing(history).filter((stroke) => stroke.mode === "spot");
  return [...new Map(marked.map((stroke) => [stroke.layer, stroke])).values()];
}

export function isOwn(event) {
  return event.own !== false;
}

function asStroke(stroke) {
  return { ...stroke, type: "stroke" };
}

function asWithdrawal(event) {
  return { ...event, type: "withdraw" };
}

/** The server paints in this order too: by sequence number, ties by id. */
function bySeq(a, b) {
  return a.seq - b.seq || (a.id < b.id ? -1 : 1);
}

/** Read a stored event as the action it was: a matching one steps the stacks, any other is a new action. */
function replay(history, event) {
  if (!isOwn(event)) return { ...history, log: [...history.log, event] };
  if (event.type === "stroke") {
    return act(history, event, { adds: true, strokes: [event.id] });
  }
  if (matches(history.undone.at(-1), event, true)) return stepForward(history, event);
  if (matches(history.done.at(-1), event, false)) return stepBack(history, event);
  return act(history, event, { adds: event.restores, strokes: event.strokes });
}

function matches(action, event, forward) {
  if (!action || action.strokes.length !== event.strokes.length) return false;
  return action.adds === (forward ? event.restores : !event.restores)
    && action.strokes.every((id) => event.strokes.includes(id));
}

function act(history, event, action) {
  return { ...history, log: [...history.log, event], done: [...history.done, action], undone: [] };
}

function stepBack(history, event) {
  const done = history.done.slice(0, -1);
  return { ...history, log: [...history.log, event], done, undone: [...history.undone, history.done.at(-1)] };
}

function stepForward(history, event) {
  const undone = history.undone.slice(0, -1);
  return { ...history, log: [...history.log, event], done: [...history.done, history.undone.at(-1)], undone };
}
