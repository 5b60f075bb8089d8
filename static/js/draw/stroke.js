/**
 * What one stroke is: its points, when they are kept, and when it is full.
 * A stroke: {id, seq, view, kind, mode, nib_mm, points: [[x, y, pressure, t_ms], ...]}
 *   view "front" | "back"; mode "shade" | "area" | "erase"; kind is null when erasing;
 *   x, y figure mm to 0.1; pressure 0..1, kept and never used for width; t_ms whole ms since pen-down.
 * Pure: no document, no window.
 */

/** Points nearer than this to the one before add nothing to the painted area (mm). */
export const THIN_MM = 1;
/** Nib on the screen at pen-down, CSS px; divided by the zoom it becomes nib_mm. */
export const NIB_PX = { small: 6, medium: 12, large: 24 };
/** The line of "circle an area" is thin whatever nib is chosen: the area is meant, not the line. */
export const AREA_LINE_PX = 4;
/** A loop counts as closed when its gap is at most this share of the line drawn ... */
const GAP_SHARE = 0.3;
/** ... and the box around it has at least this size, mm2: smaller is a tap, not a loop. */
const LEAST_BOX = 100;

/** Nib in figure mm for a nib of `px` at `scale` px per mm, within the limits. */
export function nibInMm(px, scale, limits) {
  return tenth(Math.min(limits.largest_nib_mm, Math.max(limits.smallest_nib_mm, px / scale)));
}

export function newStroke({ id, seq, view, kind, mode, nib_mm }) {
  return { id, seq, view, kind: mode === "erase" ? null : kind, mode, nib_mm, points: [] };
}

/**
 * Add a point unless it is within THIN_MM of the last one kept; true when it was kept.
 * Mutates the stroke in hand: it grows by hundreds of points a second.
 */
export function extend(stroke, [x, y], pressure, t_ms) {
  const last = stroke.points.at(-1);
  if (last && Math.hypot(x - last[0], y - last[1]) < THIN_MM) return false;
  stroke.points.push([tenth(x), tenth(y), hundredth(pressure), Math.max(0, Math.round(t_ms))]);
  return true;
}

/**
 * How many points a further stroke may have; 0 when the visit is full.
 * `strokes` are all ever drawn at this visit: withdrawn ones stay on record and count.
 */
export function roomLeft(strokes, limits) {
  if (strokes.length >= limits.strokes_per_visit) return 0;
  const points = strokes.reduce((sum, stroke) => sum + stroke.points.length, 0);
  return Math.max(0, Math.min(limits.points_per_stroke, limits.points_per_visit - points));
}

/**
 * The smooth line for the preview, as quadratic curves {from, control, to} between mid-points.
 * A curve depends on three neighbouring points only, so ink already laid never moves.
 * Starts at curve number `first`; a stroke of n points has n curves, the last one its straight tip.
 */
export function curves(points, first = 0) {
  const out = [];
  for (let i = first; i < points.length; i += 1) {
    const before = i === 0 ? points[0] : middle(points[i - 1], points[i]);
    const after = i === points.length - 1 ? points[i] : middle(points[i], points[i + 1]);
    out.push({ from: before, control: points[i], to: after });
  }
  return out;
}

/** Was it drawn all the way round? Closed by ending near its start, or by crossing itself. */
export function isClosedLoop(stroke) {
  const points = stroke.points;
  if (points.length < 4 || boxAround(points) < LEAST_BOX) return false;
  const gap = distance(points[0], points.at(-1));
  return gap <= GAP_SHARE * lengthOf(points) || crossesItself(points);
}

export function lengthOf(points) {
  let sum = 0;
  for (let i = 1; i < points.length; i += 1) sum += distance(points[i - 1], points[i]);
  return sum;
}

function boxAround(points) {
  const xs = points.map((point) => point[0]);
  const ys = points.map((point) => point[1]);
  return (Math.max(...xs) - Math.min(...xs)) * (Math.max(...ys) - Math.min(...ys));
}

function crossesItself(points) {
  for (let i = 1; i < points.length; i += 1) {
    for (let j = i + 2; j < points.length; j += 1) {
      if (cross(points[i - 1], points[i], points[j - 1], points[j])) return true;
    }
  }
  return false;
}

function cross(a, b, c, d) {
  return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}

function turn(a, b, c) {
  return Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
}

function distance(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

function middle(a, b) {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

function tenth(value) {
  return Math.round(value * 10) / 10;
}

function hundredth(value) {
  return Math.round(Math.min(1, Math.max(0, value || 0)) * 100) / 100;
}
