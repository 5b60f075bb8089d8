/**
 * The tools that a tap is enough for: a whole region, the worst spot, taking a line away.
 * Told by hand.js what the finger touched; a shaking hand that slides a little still means one place.
 * Pure: the record and the viewport are handed in.
 */
import { toFigure, viewAt } from "./coordinates.js";
import { lineUnder } from "./lines.js";
import { inward } from "./polygons.js";
import { markedBy, regionAt, strokeOf } from "./regions.js";
import { nibInMm } from "./stroke.js";

export const TAPPED = ["region", "spot", "line"];
/** Farther than this a finger that takes lines away is drawn over them, px; less is a tap. */
const TAP_PX = 14;
/** How far beside the ink or the body a finger may come down, px. */
const REACH_PX = 16;
/** The worst spot is recorded as wide as the tip of a finger on the screen, px. */
const SPOT_PX = 12;

/**
 * record {own, keep, takeAway}; body: the page's regions.
 * say(word, detail): "marked" or "marked-already" with {kind, region}, "spot", "taken", "nothing-there", "full", "beside".
 */
export function createAim({ viewport, record, body, limits, say }) {
  const reach = () => REACH_PX / viewport.scale();

  /** Screen px -> {view, place} in figure mm. */
  function find([x, y]) {
    const point = viewport.toSheet([x, y]);
    const view = viewAt(viewport.sheet(), point);
    return { view, place: toFigure(viewport.sheet(), view, point) };
  }

  function region(path, { kind, room }) {
    const { view, place } = find(path[0]);
    const found = regionAt(body, view, place, reach());
    if (!found) return say("beside");
    if (markedBy(record.own(), found, kind).length > 0) return say("marked-already", { kind, region: found });
    if (found.ring.length > room) return say("full");
    record.keep(strokeOf(found, kind), { inked: false });
    viewport.lookAt(view, place);
    say("marked", { kind, region: found });
  }

  /** Exactly where the finger is; beside a hand that is missed by a little, the nearest place on it. */
  function spot(path) {
    const { view, place } = find(path.at(-1));
    const found = regionAt(body, view, place, reach());
    if (!found) return say("beside");
    const [x, y] = inward(found.ring, place).map(tenth);
    record.keep({ view, kind: null, mode: "spot", nib_mm: nibInMm(SPOT_PX, viewport.scale(), limits), points: [[x, y, 0, 0]] });
    viewport.lookAt(view, [x, y]);
    say("spot");
  }

  /** A tap takes the one line under it; a finger drawn over several takes each. */
  function line(path) {
    const own = record.own();
    const places = isTap(path) ? path.slice(0, 1) : path;
    const hit = places.map(find).map(({ view, place }) => lineUnder(own, view, place, reach())).filter(Boolean);
    const ids = new Set(hit.map(({ id }) => id));
    // Only the last worst spot is seen: with it go those that it replaced.
    if (hit.some(({ mode }) => mode === "spot")) for (const { id, mode } of own) if (mode === "spot") ids.add(id);
    if (ids.size === 0) return say("nothing-there");
    record.takeAway([...ids]);
    say("taken");
  }

  const deeds = { region, spot, line };

  return {
    /** path: where the finger went, [[x, y], ...] screen px; room: points the visit still has. */
    do: (deed, path, how) => deeds[deed](path, how),
  };
}

function isTap(path) {
  return path.every(([x, y]) => Math.hypot(x - path[0][0], y - path[0][1]) < TAP_PX);
}

function tenth(value) {
  return Math.round(value * 10) / 10;
}
