/**
 * Everything this page has to say to the server, in one order: strokes, withdrawals and answers share
 * one sequence number. What is shown follows from the history; what is sent follows from what is shown.
 *   stroke    {type: "stroke", id, seq, view, kind, mode, nib_mm, points}
 *   withdraw  {type: "withdraw", id, seq, strokes: [ids], restores}
 *   answer    {type: "answer", id, seq, intensities: {kind: 0..10}, no_pain}
 * Pure: no document, no window; ids and sending are handed in.
 */
import { addStroke, clearAll, everDrawn, forget, isOwn, kindsUsed, rebuild, redo, standing, undo } from "./history.js";

/** data: the page's JSON; newId() -> uuid4; send(event); changed({added}): `added` when only a stroke was added. */
export function createRecord({ data, newId, send, changed }) {
  let history = rebuild(data.strokes, data.withdrawals);
  let seq = data.next_seq;
  let strengths = { ...data.answer.intensities };
  let noPain = data.answer.no_pain;
  let known = JSON.stringify({ intensities: data.answer.intensities, no_pain: data.answer.no_pain });

  const stamp = () => ({ id: newId(), seq: seq++ });

  /** Only kinds that stand count, but a number is remembered, so that Redo brings it back with the ink. */
  function answer() {
    const answered = kindsUsed(history).filter((kind) => kind in strengths);
    return { intensities: Object.fromEntries(answered.map((kind) => [kind, strengths[kind]])), no_pain: noPain };
  }

  function update(next, added = false) {
    history = next;
    if (standing(history).length > 0) noPain = false;
    tellAnswer();
    changed({ added });
  }

  function tellAnswer() {
    const now = answer();
    if (JSON.stringify(now) === known) return;
    known = JSON.stringify(now);
    send({ type: "answer", ...stamp(), ...now });
  }

  function withdraw(step) {
    const result = step(history, { id: newId(), seq });
    if (!result) return false;
    seq += 1;
    send({ type: "withdraw", ...result.event });
    update(result.history);
    return true;
  }

  return {
    /** A finished stroke, without id and number yet: {view, kind, mode, nib_mm, points}. */
    keep(stroke) {
      const event = { ...stroke, ...stamp() };
      send({ type: "stroke", ...event });
      update(addStroke(history, event), true);
    },
    undo: () => withdraw(undo),
    redo: () => withdraw(redo),
    clear: () => withdraw(clearAll),
    setStrength(kind, number) {
      strengths = { ...strengths, [kind]: number };
      update(history, true);
    },
    /** True when it was taken: "no pain" does not stand beside a drawing. */
    setNoPain(value) {
      if (value && standing(history).length > 0) return false;
      noPain = value;
      update(history);
      return true;
    },
    /** The server will never keep these: the board must not show them as drawn. */
    refuse(ids) {
      update(ids.reduce(forget, history));
    },
    strokes: () => standing(history),
    everDrawn: () => everDrawn(history),
    kindsUsed: () => kindsUsed(history),
    strengthOf: (kind) => strengths[kind],
    hasNoPain: () => noPain,
    canUndo: () => history.done.length > 0,
    canRedo: () => history.undone.length > 0,
    hasOwnInk: () => standing(history).some(isOwn),
  };
}

/** A version 4 UUID. randomUUID() itself is missing where a tablet reaches the practice without https. */
export function uuid4(crypto) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
