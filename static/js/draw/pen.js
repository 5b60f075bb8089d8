/**
 * What fingers, pens and mice mean: a line, a pinch, or nothing. A state machine over plain events.
 *
 *   a mouse or a pen in contact draws at once; a hovering pen draws nothing
 *   a finger draws after it has moved BEGIN_PX or stayed BEGIN_MS, so a second finger can make it a pinch
 *   a tap is a dab; two fingers zoom and move the sheet and leave no line
 *   two fingers put down and lifted at once, without moving, are a tap of two: Undo
 *   once a pen is seen touches are palms: they never draw, one already drawing is thrown away, and a dab
 *   that a touch left just before is taken back; one finger moves the sheet or does nothing, as is preferred
 *
 * Events: {id, type: "mouse" | "pen" | "touch", button, buttons, time, eraser, points: [{x, y, pressure, time}]}
 * with the coalesced samples in `points`, oldest first, in screen px and ms.
 * Actions told to `on`: begin(points, {eraser}), more(points), end(), drop(), twoFingerTap(), penSeen(), palmBefore(),
 *   pinchBegin(), pinch(before, after), pinchEnd(), pinchDrop(); before and after hold one or two places.
 * fingerMoves() -> in pen mode, does one finger move the sheet?
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
/** Two fingers are a tap when both are up again this soon after the first came down, ms. */
export const TWO_FINGER_TAP_MS = 350;
/** A dab of a touch this soon before the first sign of a pen was the hand that holds it, ms. */
export const PALM_BEFORE_MS = 600;
/** A line broken off by the system is kept if it has more points than this: it looks finished. */
export const KEEP_POINTS = 5;

export function createPen({ on, later, never, fingerMoves = () => false }) {
  const fingers = new Map();
  let line = null;
  let waiting = null;
  let pinching = null;
  // The finger that is still down of two that may have been a tap: {id, until, place}.
  let tapping = null;
  let penMode = false;
  let penNear = -Infinity;
  let dabbed = -Infinity;

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
    const finger = { place: at(event), counts: false, down: event.time };
    fingers.set(event.id, finger);
    tapping = null;
    if (pinching?.ids.length === 2) return noTap();
    if (handIsWriting(event)) return;
    finger.counts = true;
    const other = otherFinger(event.id);
    if (line) secondFinger(event, finger);
    else if (other !== undefined) beginPinch([other, event.id]);
    else if (!penMode) wait(event);
    else if (fingerMoves()) beginPinch([event.id]);
  }

  /** A third finger: whatever this is, it is no tap of two. */
  function noTap() {
    pinching.tapUntil = -Infinity;
  }

  function secondFinger(event, finger) {
    const young = line.type === "touch" && event.time - line.began <= SECOND_FINGER_MS;
    if (!young) {
      finger.counts = false;
      return;
    }
    const first = line.id;
    dropLine();
    beginPinch([first, event.id]);
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
    if (tapping?.id === event.id && apart(tapping.place, at(event)) >= PINCH_PX) tapping = null;
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
    else liftOfTwo(event);
    lift(event);
  }

  /** The first of two still fingers goes up, or the second soon after it. */
  function liftOfTwo(event) {
    if (tapping?.id === event.id) {
      if (event.time <= tapping.until) on.twoFingerTap();
      tapping = null;
    } else if (pinching?.ids.includes(event.id) && !pinching.moving && pinching.ids.length === 2) {
      const id = pinching.ids.find((other) => other !== event.id);
      tapping = { id, until: pinching.tapUntil, place: fingers.get(id).place };
    }
  }

  /** The last place counts, its pressure does not: a pen being lifted reports none. */
  function endWith(event) {
    on.more(event.points.map((point) => ({ ...point, pressure: line.pressure })));
    endLine();
  }

  function tap() {
    startWaiting();
    dabbed = line.began;
    endLine();
  }

  /** pointercancel, or capture lost: the system took the pointer away. */
  function cancel(event) {
    if (line?.id === event.id) line.count > KEEP_POINTS ? endLine() : dropLine();
    if (waiting?.id === event.id) stopWaiting();
    if (tapping?.id === event.id) tapping = null;
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

  /** Two fingers, or in pen mode the one that moves the sheet until a second comes. */
  function beginPinch(ids) {
    stopWaiting();
    if (!pinching) on.pinchBegin();
    const held = ids.map((id) => fingers.get(id));
    // No tap undoes anything in pen mode: the hand that holds the pen taps too.
    const tapUntil = penMode ? -Infinity : held[0].down + TWO_FINGER_TAP_MS;
    pinching = { ids, last: held.map((finger) => finger.place), moving: false, tapUntil };
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
    if (event.time - dabbed < PALM_BEFORE_MS) on.palmBefore();
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

/** Button 1 is the tip; 32 is the rubber end, and 2 the button on the barrel: both touch without the tip. */
function inContact(event) {
  if ((event.buttons & (1 | 32)) !== 0) return true;
  // Some pens tell of the button while they hover: only pressure says that the glass is touched.
  return event.type === "pen" && (event.buttons & 2) !== 0 && event.points.at(-1).pressure > 0;
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
