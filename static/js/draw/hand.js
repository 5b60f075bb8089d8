/**
 * The stroke in hand: from what the pen does to a stroke for the record, by the tools chosen.
 * Told by pen.js through begin, more, end and drop.
 * Pure: the ink, the record and the viewport are handed in.
 */
import { TAPPED } from "./aim.js";
import { toFigure, viewAt } from "./coordinates.js";
import { AREA_LINE_PX, NIB_PX, extend, isClosedLoop, newStroke, nibInMm, roomLeft } from "./stroke.js";

/** What a kind must be chosen for. */
const SHOWS_A_KIND = ["shade", "area", "region"];

/**
 * tools() -> {kind: id or null, mode: "shade" | "area" | "erase" | "region" | "spot" | "line", nib: "small" | "medium" | "large"}
 * ink {follow, keep, drop}; say(word) gives the patient one of: "choose", "full", "open", "beside", or "" to take the last one away.
 * touchesBody(stroke) -> is any of it on the body? aim.do(deed, path, {kind, room}): the tools that a tap is enough for.
 */
export function createHand({ tools, viewport, record, ink, aim, limits, touchesBody, say, wantsFrame }) {
  let stroke = null;
  let tapping = null;
  let began = 0;
  let room = 0;
  let lastKept = null;

  function begin(points, { eraser }) {
    const { kind, mode, nib } = tools();
    const deed = eraser ? "erase" : mode;
    room = roomLeft(record.everDrawn(), limits);
    if (room === 0 && deed !== "line") return say("full");
    if (SHOWS_A_KIND.includes(deed) && !kind) return say("choose");
    say("");
    if (TAPPED.includes(deed)) tapping = { deed, kind, path: [] };
    else startLine(points[0], kind, deed, nib);
    more(points);
  }

  function startLine(point, kind, mode, nib) {
    began = point.time;
    start(viewAt(viewport.sheet(), place(point)), kind, mode, nib);
  }

  function start(view, kind, mode, nib) {
    const px = mode === "area" ? AREA_LINE_PX : NIB_PX[nib];
    // The id only tells one stroke in hand from the next; the record gives the real one.
    stroke = newStroke({ id: {}, seq: 0, view, kind, mode, nib_mm: nibInMm(px, viewport.scale(), limits) });
  }

  function more(points) {
    if (tapping) return void tapping.path.push(...points.map(({ x, y }) => [x, y]));
    for (const point of points) add(point);
    if (stroke) wantsFrame();
  }

  function add(point) {
    if (!stroke) return;
    if (stroke.points.length >= room && !goOn()) return;
    extend(stroke, toFigure(viewport.sheet(), stroke.view, place(point)), point.pressure, point.time - began);
  }

  /** A stroke is full: shading goes on in a new one from the same place, a loop just stays as it is. */
  function goOn() {
    if (stroke.mode === "area") return false;
    const { view, kind, mode, nib_mm, points } = stroke;
    finish();
    room = roomLeft(record.everDrawn(), limits);
    if (room === 0) {
      stroke = null;
      say("full");
      return false;
    }
    stroke = { ...newStroke({ id: {}, seq: 0, view, kind, mode, nib_mm }), points: [points.at(-1)] };
    return true;
  }

  function end() {
    if (tapping) return endTap();
    if (!stroke) return;
    finish();
    stroke = null;
  }

  function endTap() {
    const { deed, kind, path } = tapping;
    tapping = null;
    aim.do(deed, path, { kind, room });
  }

  function finish() {
    const problem = whyNot(stroke);
    if (problem) {
      ink.drop();
      return say(problem);
    }
    const { view, kind, mode, nib_mm, points } = stroke;
    ink.keep(stroke);
    viewport.lookAt(view, points.at(-1).slice(0, 2));
    lastKept = record.keep({ view, kind, mode, nib_mm, points });
  }

  function whyNot(drawn) {
    if (drawn.mode === "area" && !isClosedLoop(drawn)) return "open";
    return touchesBody(drawn) ? null : "beside";
  }

  function place(point) {
    return viewport.toSheet([point.x, point.y]);
  }

  return {
    begin,
    more,
    end,
    drop() {
      if (stroke) ink.drop();
      stroke = tapping = null;
    },
    /** The last line was the palm of a hand: take it back, unless something else was done since. */
    takeBack() {
      if (lastKept !== null && record.wasLast(lastKept)) record.undo();
      lastKept = null;
    },
    /** Once a frame: paint what has been added since. */
    paint() {
      if (stroke && stroke.points.length > 0) ink.follow(stroke);
    },
  };
}
