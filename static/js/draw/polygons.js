/**
 * Plain geometry of lines and rings in figure mm: [[x, y, ...], ...], a ring without its first point again.
 * Pure: no document, no window.
 */

/** Distance of a point from a line of points; of a single point, from that. */
export function distanceTo(line, [x, y], closed = false) {
  const ends = closed ? line : line.slice(0, -1);
  if (ends.length === 0) return Math.hypot(x - line[0][0], y - line[0][1]);
  return Math.min(...ends.map((point, i) => fromPiece(x, y, point, line[(i + 1) % line.length])));
}

/** Is the point inside the ring? Doubled-over parts count as filled, as the server paints them. */
export function isInside(ring, [x, y]) {
  let turns = 0;
  for (let i = 0; i < ring.length; i += 1) {
    const [ax, ay] = ring[i];
    const [bx, by] = ring[(i + 1) % ring.length];
    const side = (bx - ax) * (y - ay) - (x - ax) * (by - ay);
    if (ay <= y && by > y && side > 0) turns += 1;
    if (ay > y && by <= y && side < 0) turns -= 1;
  }
  return turns !== 0;
}

/** A point well within the ring: of a grid over it, the one farthest from the edge. */
export function deepest(ring, across = 24) {
  const [left, top, right, bottom] = boxOf(ring);
  let best = { depth: -1, place: ring[0].slice(0, 2) };
  for (let i = 1; i < across; i += 1) {
    for (let j = 1; j < across; j += 1) {
      const place = [left + ((right - left) * i) / across, top + ((bottom - top) * j) / across];
      const depth = isInside(ring, place) ? distanceTo(ring, place, true) : -1;
      if (depth > best.depth) best = { depth, place };
    }
  }
  return best.place;
}

/** The place itself when it lies in the ring, else the first place within on the way to its middle. */
export function inward(ring, place, steps = 40) {
  const middle = deepest(ring);
  for (let i = 0; i < steps; i += 1) {
    const there = place.map((value, axis) => value + ((middle[axis] - value) * i) / steps);
    if (isInside(ring, there)) return there;
  }
  return middle;
}

/** [left, top, right, bottom] */
function boxOf(ring) {
  const xs = ring.map((point) => point[0]);
  const ys = ring.map((point) => point[1]);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

function fromPiece(x, y, [ax, ay], [bx, by]) {
  const length = (bx - ax) ** 2 + (by - ay) ** 2;
  const share = length === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length));
  return Math.hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay));
}
