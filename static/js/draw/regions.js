/**
 * The named regions of the figure, from the page's `body`:
 *   parts   [{key, label, side, regions: [{id, side, view, words, ring: [[x, y], ...]}]}]
 * A region that is chosen, from the list or by a tap, is a stroke of mode "area" with the ring as its line.
 * Pure: no document, no window.
 */
import { deepest, distanceTo, isInside } from "./polygons.js";

/** The line of a ring is as thin as a stroke may be: the region is meant, not its edge. */
const RING_NIB_MM = 1;
/** A worst spot that was named, not touched, is as wide as that of a finger. */
const SPOT_NIB_MM = 1;

export function keyOf({ id, side }) {
  return `${id} ${side}`;
}

export function regionsOf(body) {
  return body.parts.flatMap((part) => part.regions);
}

/** The region of a view under a place, or the nearest within `reach` mm; null when there is none. */
export function regionAt(body, view, place, reach = 0) {
  const here = regionsOf(body).filter((region) => region.view === view);
  const under = here.find((region) => isInside(region.ring, place));
  if (under) return under;
  const near = here.map((region) => ({ region, far: distanceTo(region.ring, place, true) }));
  const best = near.reduce((a, b) => (b.far < a.far ? b : a), { region: null, far: Infinity });
  return best.far <= reach ? best.region : null;
}

/** The stroke that marks a whole region. */
export function strokeOf(region, kind) {
  const points = region.ring.map(([x, y]) => [x, y, 0, 0]);
  return { view: region.view, kind, mode: "area", nib_mm: RING_NIB_MM, points, region: keyOf(region) };
}

/** The worst spot in the middle of a region. */
export function spotIn(region) {
  const [x, y] = deepest(region.ring).map((value) => Math.round(value * 10) / 10);
  return { view: region.view, kind: null, mode: "spot", nib_mm: SPOT_NIB_MM, points: [[x, y, 0, 0]] };
}

/** Ids of the strokes that mark a region, of one kind or of any. */
export function markedBy(strokes, region, kind = null) {
  const key = keyOf(region);
  return strokes.filter((stroke) => stroke.region === key && (kind === null || stroke.kind === kind)).map(({ id }) => id);
}
