/**
 * Which line lies under a finger that wants to take it away.
 * Pure: no document, no window.
 */
import { distanceTo, isInside } from "./polygons.js";

/**
 * The stroke in sight at a place of a view, or the nearest within `reach` mm; null when there is none.
 * `strokes` in painting order; what an eraser has bared here is not in sight. The worst spot lies on top.
 */
export function lineUnder(strokes, view, place, reach) {
  const here = strokes.filter((stroke) => stroke.view === view);
  return spotUnder(strokes, view, place, reach) ?? inkUnder(here.filter(({ mode }) => mode !== "spot"), place, reach);
}

function spotUnder(strokes, view, place, reach) {
  const spot = strokes.filter(({ mode }) => mode === "spot").at(-1);
  return spot?.view === view && distanceTo(spot.points, place) <= reach ? spot : null;
}

function inkUnder(strokes, place, reach) {
  let near = { stroke: null, far: Infinity };
  for (const stroke of [...strokes].reverse()) {
    const far = farFrom(stroke, place);
    if (stroke.mode === "erase") {
      if (far === 0) break;
      continue;
    }
    if (far === 0) return stroke;
    if (far <= reach && far < near.far) near = { stroke, far };
  }
  return near.stroke;
}

/** mm from the ink of a stroke, 0 within it. */
function farFrom({ mode, points, nib_mm }, place) {
  if (mode === "area" && isInside(points, place)) return 0;
  return Math.max(0, distanceTo(points, place, mode === "area") - nib_mm / 2);
}
