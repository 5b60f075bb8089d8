/**
 * How one stroke is painted on a canvas whose units are sheet mm.
 * Ink is laid with "darken": laying the same ink twice changes nothing, so a line in hand can be
 * painted piece by piece over what is there and look the same when it is painted again as one.
 */
import { curves } from "./stroke.js";
import { halfOf } from "./coordinates.js";

/** Paint a whole stroke. look(kind id) -> pattern. */
export function paintStroke(context, stroke, sheet, look) {
  if (stroke.points.length === 0 || stroke.mode === "spot") return;
  withinView(context, stroke, sheet, () => {
    const path = pathOf(stroke.points, stroke.mode === "area");
    layInk(context, stroke, path, look);
    if (stroke.mode === "area") fillInk(context, stroke, path, look);
  });
}

/**
 * Paint the part of a growing stroke that will not change any more, from curve number `first` on: up to half-way
 * to its newest point. The way from there depends on the next point; painted now, it would have to be taken back.
 */
export function paintTip(context, stroke, sheet, look, first) {
  const settled = stroke.points.length === 1 ? curves(stroke.points) : curves(stroke.points, first).slice(0, -1);
  if (settled.length > 0) withinView(context, stroke, sheet, () => layInk(context, stroke, lineOf(settled), look));
}

/** Paint the last piece of a stroke that has ended. */
export function paintEnd(context, stroke, sheet, look) {
  const last = curves(stroke.points, stroke.points.length - 1);
  withinView(context, stroke, sheet, () => layInk(context, stroke, lineOf(last), look));
}

/** The dashed line of an area in hand, with the gap still to be closed shown fainter. */
export function paintLoop(context, stroke, sheet, scale, colours) {
  if (stroke.points.length === 0) return;
  context.save();
  context.translate(sheet.offsets[stroke.view], 0);
  context.lineCap = "round";
  const path = pathOf(stroke.points, false);
  line(context, path, 5 / scale, colours.paper, []);
  line(context, path, 2.5 / scale, colours.ink, [9 / scale, 7 / scale]);
  const gap = new Path2D();
  gap.moveTo(...stroke.points.at(-1).slice(0, 2));
  gap.lineTo(...stroke.points[0].slice(0, 2));
  line(context, gap, 1.5 / scale, colours.soft, [2 / scale, 6 / scale]);
  context.restore();
}

function line(context, path, width, colour, dashes) {
  context.setLineDash(dashes);
  context.lineWidth = width;
  context.strokeStyle = colour;
  context.stroke(path);
}

/** A line over the gutter must not mark the other figure: each view is painted on its own half only. */
function withinView(context, stroke, sheet, paint) {
  const [left, right] = halfOf(sheet, stroke.view).map((x) => Math.min(1e5, Math.max(-1e5, x)));
  context.save();
  context.beginPath();
  context.rect(left, -1e5, right - left, 2e5);
  context.clip();
  context.translate(sheet.offsets[stroke.view], 0);
  context.lineWidth = stroke.nib_mm;
  context.lineCap = context.lineJoin = "round";
  paint();
  context.restore();
}

function layInk(context, stroke, path, look) {
  context.strokeStyle = dip(context, stroke, look);
  context.stroke(path);
}

function fillInk(context, stroke, path, look) {
  context.fillStyle = dip(context, stroke, look);
  context.fill(path, "nonzero");
}

/** Set how ink mixes with what is there; the rubber takes away every kind. */
function dip(context, stroke, look) {
  context.globalCompositeOperation = stroke.mode === "erase" ? "destination-out" : "darken";
  return stroke.mode === "erase" ? "#000" : look(stroke.kind);
}

function pathOf(points, closed) {
  const path = lineOf(curves(points));
  if (closed) path.closePath();
  return path;
}

function lineOf(pieces) {
  const path = new Path2D();
  for (const [index, { from, control, to }] of pieces.entries()) {
    if (index === 0) path.moveTo(from[0], from[1]);
    path.quadraticCurveTo(control[0], control[1], to[0], to[1]);
  }
  const [{ from, to }] = pieces;
  // A tap is a line of no length, which a canvas does not draw without a step.
  if (from[0] === to[0] && from[1] === to[1]) path.lineTo(to[0] + 0.01, to[1]);
  return path;
}
