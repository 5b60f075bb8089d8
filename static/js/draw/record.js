/**
 * Everything this page has to say to the server, in one order: strokes, withdrawals and answers share
 * one sequence number. What is shown follows from the history; what is sent follows from what is shown.
 *   stroke    {type: "stroke", id, seq, view, kind, mode, nib_mm, points, region?}
 *   withdraw  {type: "withdraw", id, seq, strokes: [ids], restores}
 *   answer    {type: "answer", id, seq, intensities, no_pain}; how strong it is, is asked on the page after
 * Pure: no document, no window; ids and sending are handed in.
 */
import { addStroke, clearAll, everDrawn, forget, isOwn, kindsUsed, ownStrokes, rebuild, redo, spots, standing, takeOut, undo } from "./history.js";

/** What is found on examination says nothing about what the patient feels. */
const FINDINGS = "clinician";

/**
 * data: the page's JSON; newId() -> uuid4; send(event).
 * changed({added}): `added` when the picture has only gained what the ink shows already.
 */
export function createRecord({ data, newId, send, changed }) {
  let history = rebuild(data.strokes, data.withdrawals);
  let seq = data.next_seq;
  let noPain = data.answer.no_pain;
  let told = noPain;

  const stamp = () => ({ id: newId(), seq: seq++ });
  const hasPain = () => standing(history).some((stroke) => stroke.mode !== "erase" && stroke.layer !== FINDINGS);

  function update(next, added = false) {
    history = next;
    if (hasPain()) noPain = false;
    tellAnswer();
    changed({ added });
  }

  function tellAnswer() {
    if (noPain === told) return;
    told = noPain;
    send({ type: "answer", ...stamp(), intensities: data.answer.intensities, no_pain: noPain });
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
    /**
     * A finished stroke, without id and number yet: {view, kind, mode, nib_mm, points, region?}.
     * inked: the ink shows it already. Returns its id.
     */
    keep(stroke, { inked = true } = {}) {
      const event = { ...stroke, ...stamp() };
      send({ type: "stroke", ...event });
      update(addStroke(history, { ...event, layer: data.layer }), inked);
      return event.id;
    },
    /** Take strokes of one's own out of the picture, as one action. */
    takeAway: (ids) => withdraw((now, next) => takeOut(now, ids, next)),
    undo: () => withdraw(undo),
    redo: () => withdraw(redo),
    clear: () => withdraw(clearAll),
    /** True when it was taken: "no pain" does not stand beside a drawing. */
    setNoPain(value) {
      if (value && hasPain()) return false;
      noPain = value;
      update(history);
      return true;
    },
    /** The server will never keep these: the board must not show them as drawn. */
    refuse(ids) {
      update(ids.reduce(forget, history));
    },
    strokes: () => standing(history),
    own: () => ownStrokes(history),
    others: () => standing(history).filter((stroke) => !isOwn(stroke)),
    spots: () => spots(history),
    everDrawn: () => everDrawn(history),
    kindsUsed: () => kindsUsed(history),
    hasPain,
    hasNoPain: () => noPain,
    canUndo: () => history.done.length > 0,
    canRedo: () => history.undone.length > 0,
    hasOwnInk: () => ownStrokes(history).length > 0,
    /** Was this stroke the last thing done here? */
    wasLast(id) {
      const last = history.done.at(-1);
      return Boolean(last?.adds) && last.strokes.length === 1 && last.strokes[0] === id;
    },
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
