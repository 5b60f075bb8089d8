/**
 * What is said on the page after drawing, as events for the outbox; they share the board's sequence numbers.
 *   area     {type, id, seq, strokes: [ids], answers: {now: {kind: 0..10}, least, most, course, depth, since, link, link_to}}
 *   cleared  {type, id, seq, parts: [keys]}
 *   group    {type, id, seq, strokes: [ids], together}
 * Pure: no document, no window; ids and sending are handed in.
 */

/** nextSeq: the first free number; newId() -> uuid4; send(event). Every event is the whole of what is said at that moment. */
export function createAsked({ nextSeq, newId, send }) {
  let seq = nextSeq;
  const said = new Map();

  const stamp = () => ({ id: newId(), seq: seq++ });

  /** Once for each change: a set that was sent already is not sent again. */
  function sendOnce(about, event) {
    const now = JSON.stringify(event);
    if (said.get(about) === now) return false;
    said.set(about, now);
    send({ ...event, ...stamp() });
    return true;
  }

  return {
    /** What the page shows already: no event is made for it. */
    know(strokes, answers) {
      said.set(`area ${strokes[0]}`, JSON.stringify(areaEvent(strokes, answers)));
    },
    area: (strokes, answers) => sendOnce(`area ${strokes[0]}`, areaEvent(strokes, answers)),
    cleared: (parts) => sendOnce("cleared", { type: "cleared", parts }),
    group(strokes, together) {
      send({ type: "group", strokes, together, ...stamp() });
    },
    /** A page shown anew knows of numbers that others have used meanwhile. */
    passSeq(next) {
      seq = Math.max(seq, next);
    },
  };
}

function areaEvent(strokes, answers) {
  return { type: "area", strokes, answers };
}

/**
 * The answers of one area from what is chosen: [{answer, value, kind}], one for each answered question.
 * others: {number: strokes} of the other areas; with a single one, a link needs no "which".
 */
export function answersFrom(chosen, others) {
  const one = (answer) => chosen.find((each) => each.answer === answer)?.value;
  const link = one("link") ?? "";
  return {
    now: Object.fromEntries(chosen.filter((each) => each.answer === "now").map(({ kind, value }) => [kind, Number(value)])),
    least: numberOr(one("least"), null),
    most: numberOr(one("most"), null),
    course: one("course") ?? "",
    depth: one("depth") ?? "",
    since: (one("since") ?? "").trim(),
    link,
    link_to: needsWhich(link) ? linked(one("which"), others) : [],
  };
}

/** Whether the answer speaks of one certain other area. */
export function needsWhich(link) {
  return link === "together" || link === "after";
}

function linked(which, others) {
  const strokes = Object.values(others);
  return strokes.length === 1 ? strokes[0] : others[which] ?? [];
}

function numberOr(value, otherwise) {
  return value === undefined ? otherwise : Number(value);
}

/** least <= now <= most does not hold; `now` is that of the strongest kind. */
export function contradicts({ now, least, most }) {
  const numbers = Object.values(now);
  const up = [least, numbers.length > 0 ? Math.max(...numbers) : null, most].filter((each) => each !== null);
  return up.some((each, index) => index > 0 && up[index - 1] > each);
}

/** "3 weeks", "1 week". */
export function sinceWords(count, unit, units) {
  return `${count} ${count === 1 ? unit : units}`;
}

/** The number at the beginning of what was typed, 1 where there is none. */
export function countIn(text) {
  const found = /^\s*(\d{1,3})\b/.exec(text);
  return found ? Math.max(1, Number(found[1])) : 1;
}
