/**
 * What fingers, pens and mice mean: a line, a pinch, or nothing. A state machine over plain events.
 *
 *   a mouse or a pen in contact draws at once; a hovering pen draws nothing
 *   a finger draws after it has moved BEGIN_PX or stayed BEGIN_MS, so a second finger can make it a pinch
 *   a tap is a dab; two fingers zoom and move the sheet and leave no line
 *   once a pen is seen touches are palms: they never draw, and one already drawing is thrown away
 *
 * Events: {id, type: "mouse" | "pen" | "touch", button, buttons, time, eraser, points: [{x, y, pressure, time}]}
 * with the coalesced samples in `points`, oldest first, in screen px and ms.
 * Actions told to `on`: begin(points, {eraser}), more(points), end(), drop(),
 *   pinchBegin(), pinch(before, after), pinchEnd(), pinchDrop(), penSeen().
 * Pure: no document, no window; later(call, ms) and never(handle) are handed in.
 */

export const BEGIN_PX = 8;
export const BEGIN_MS = 90;
/** A second finger this soon after a line began still turns it into a pinch, ms; later it is a resting hand. */
export const SECOND_FINGER_MS = 250;
/** Touches this soon after the pen was last near are the writing hand, not a pinch, ms. */
export const PEN_NEAR_MS = 1000;
/** Two fingers move the sheet only after this much, so a resting hand does not shift it, px. */
export const PINCH_PX = 10;
/** A line broken off by the system is kept if it has more points than this: it looks finished. */
export const KEEP_POINTS = 5;

export function createPen({ on, later, never }) {
  const fingers = new Map();
  let line = null;
  let waiting = null;
  let pinching = null;
  let penMode = false;
  let penNear = -Infinity;

  function down(event) {
    if (event.type === "pen") penDown(event);
    else if (event.type === "mouse") mouseDown(event);
    else fingerDown(event);
  }

  function penDown(event) {
    seePen(event);
    if (!inContact(event)) return;
    dropWaiting();
    dropPinch();
    if (line) dropLine();
    beginLine(event, event.points);
  }

  function mouseDown(event) {
    if (event.button === 0 && !line) beginLine(event, event.points);
  }

  function fingerDown(event) {
    const place = at(event);
    const finger = { place, counts: false };
    fingers.set(event.id, finger);
    if (pinching || handIsWriting(event)) return;
    finger.counts = true;
    const other = otherFinger(event.id);
    if (line) secondFinger(event, finger);
    else if (other !== undefined) beginPinch(other, event.id);
    else if (!penMode) wait(event);
  }

  function secondFinger(event, finger) {
    const young = line.type === "touch" && event.time - line.began <= SECOND_FINGER_MS;
    if (!young) {
      finger.counts = false;
      return;
    }
    const first = line.id;
    dropLine();
    beginPinch(first, event.id);
  }

  function wait(event) {
    const held = later(() => startWaiting(), BEGIN_MS);
    waiting = { ...event, points: [...event.points], held };
  }

  function startWaiting() {
    const start = waiting;
    stopWaiting();
    beginLine(start, start.points);
  }

  function move(event) {
    if (event.type === "pen") seePen(event);
    if (line?.id === event.id) return lineMove(event);
    if (waiting?.id === event.id) return waitingMove(event);
    if (fingers.has(event.id)) fingerMove(event);
  }

  function lineMove(event) {
    if (event.type !== "touch" && !inContact(event)) return endLine();
    place(event);
    line.count += event.points.length;
    on.more(event.points);
  }

  function waitingMove(event) {
    place(event);
    waiting.points.push(...event.points);
    const far = distance(waiting.points[0], event.points.at(-1)) >= BEGIN_PX;
    if (far || event.time - waiting.time >= BEGIN_MS) startWaiting();
  }

  function fingerMove(event) {
    place(event);
    if (!pinching?.ids.includes(event.id)) return;
    const now = pinching.ids.map((id) => fingers.get(id).place);
    if (!pinching.moving && now.every((point, i) => apart(point, pinching.last[i]) < PINCH_PX)) return;
    // The slack of the first move is swallowed, or the sheet would jump by it.
    if (pinching.moving) on.pinch(pinching.last, now);
    pinching = { ...pinching, moving: true, last: now };
  }

  function up(event) {
    if (line?.id === event.id) endWith(event);
    else if (waiting?.id === event.id) tap();
    lift(event);
  }

  /** The last place counts, its pressure does not: a pen being lifted reports none. */
  function endWith(event) {
    on.more(event.points.map((point) => ({ ...point, pressure: line.pressure })));
    endLine();
  }

  function tap() {
    startWaiting();
    endLine();
  }

  /** pointercancel, or capture lost: the system took the pointer away. */
  function cancel(event) {
    if (line?.id === event.id) line.count > KEEP_POINTS ? endLine() : dropLine();
    if (waiting?.id === event.id) stopWaiting();
    lift(event);
  }

  function lift(event) {
    fingers.delete(event.id);
    if (pinching?.ids.includes(event.id)) {
      pinching = null;
      // The finger that stays starts no line: only a finger put down does.
      on.pinchEnd();
    }
  }

  function beginPinch(first, second) {
    stopWaiting();
    const ids = [first, second];
    pinching = { ids, last: ids.map((id) => fingers.get(id).place), moving: false };
    on.pinchBegin();
  }

  function dropPinch() {
    if (!pinching) return;
    pinching = null;
    on.pinchDrop();
  }

  function dropWaiting() {
    stopWaiting();
    for (const finger of fingers.values()) finger.counts = false;
  }

  function stopWaiting() {
    if (waiting) never(waiting.held);
    waiting = null;
  }

  function beginLine(event, points) {
    line = { id: event.id, type: event.type, began: event.time, count: points.length, pressure: points[0].pressure };
    on.begin(points, { eraser: Boolean(event.eraser) });
  }

  function endLine() {
    line = null;
    on.end();
  }

  function dropLine() {
    line = null;
    on.drop();
  }

  function seePen(event) {
    penNear = event.time;
    if (penMode) return;
    penMode = true;
    on.penSeen();
  }

  function handIsWriting(event) {
    return line?.type === "pen" || (penMode && event.time - penNear < PEN_NEAR_MS);
  }

  function otherFinger(id) {
    return [...fingers].find(([other, finger]) => other !== id && finger.counts)?.[0];
  }

  function place(event) {
    if (fingers.has(event.id)) fingers.get(event.id).place = at(event);
    if (line?.id === event.id) line.pressure = event.points.at(-1).pressure;
  }

  return {
    down,
    move,
    up,
    cancel,
    /** Fingers draw again: the pen has been put away. */
    leavePenMode() {
      penMode = false;
      penNear = -Infinity;
    },
    isBusy: () => Boolean(line || waiting || pinching),
  };
}

/** Button 1 is the tip; 32 is the rubber end, which touches without the tip. */
function inContact(event) {
  return (event.buttons & (1 | 32)) !== 0;
}

function at(event) {
  const last = event.points.at(-1);
  return [last.x, last.y];
}

function distance(a, b) {
  return Math.hypot(a.x - b.x, a.y - b.y);
}

function apart(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}
