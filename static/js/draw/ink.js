/**
 * The ink on the stage: what stands is painted once per view of the sheet into a canvas kept aside;
 * the visible canvas is a copy of it, and the stroke in hand is painted on top, new pieces only.
 * So a frame costs the new piece, however much has been drawn.
 */
import { paintLoop, paintStroke, paintTip } from "./brush.js";
import { patternFor, stretchAt } from "./texture.js";

/**
 * canvas: the visible ink; overlay: the dashed line; kinds: data for the looks; colours: {ink, paper, soft}.
 */
export function createInk({ canvas, overlay, kinds, colours }) {
  const shown = canvas.getContext("2d");
  const above = overlay.getContext("2d");
  const kept = document.createElement("canvas").getContext("2d");
  const kindOf = Object.fromEntries(kinds.map((kind) => [kind.id, kind]));
  let camera = { scale: 1, x: 0, y: 0 };
  let keptCamera = camera;
  let sheet = null;
  let ratio = 1;
  let looks = {};
  let hand = null;

  function look(id) {
    looks[id] ??= patternFor(shown, kindOf[id], camera.scale * ratio, stretchAt(kindOf[id], camera.scale));
    return looks[id];
  }

  function resize(width, height, pixelRatio) {
    ratio = pixelRatio;
    for (const context of [shown, above, kept]) {
      context.canvas.width = Math.round(width * ratio);
      context.canvas.height = Math.round(height * ratio);
    }
  }

  /** Paint everything that stands, afresh: after a change of camera, an undo, a reload. */
  function repaint(strokes, newCamera, newSheet) {
    if (newCamera.scale !== camera.scale || newSheet !== sheet) looks = {};
    camera = keptCamera = newCamera;
    sheet = newSheet;
    wipe(kept);
    inSheet(kept, camera, ratio);
    for (const stroke of strokes) paintStroke(kept, stroke, sheet, look);
    drop();
  }

  /** While the sheet is moving: the kept picture, shifted and scaled; sharp again at the next repaint. */
  function move(newCamera) {
    const factor = newCamera.scale / keptCamera.scale;
    wipe(shown);
    shown.setTransform(factor, 0, 0, factor, (newCamera.x - keptCamera.x * factor) * ratio, (newCamera.y - keptCamera.y * factor) * ratio);
    shown.drawImage(kept.canvas, 0, 0);
  }

  function showKept() {
    wipe(shown);
    shown.setTransform(1, 0, 0, 1, 0, 0);
    shown.drawImage(kept.canvas, 0, 0);
    wipe(above);
  }

  /** The stroke in hand has grown (or begun): paint what is new. */
  function follow(stroke) {
    if (stroke.mode === "area") return followLoop(stroke);
    const painted = hand?.id === stroke.id ? hand.painted : 0;
    inSheet(shown, camera, ratio);
    // One curve back: its end was a straight tip until its neighbour came.
    paintTip(shown, stroke, sheet, look, Math.max(0, painted - 1));
    hand = { id: stroke.id, painted: stroke.points.length };
  }

  function followLoop(stroke) {
    wipe(above);
    inSheet(above, camera, ratio);
    paintLoop(above, stroke, sheet, camera.scale, colours);
  }

  /** The stroke in hand is done: it joins what stands. */
  function keep(stroke) {
    inSheet(kept, camera, ratio);
    paintStroke(kept, stroke, sheet, look);
    drop();
  }

  /** The stroke in hand was none: away with it. */
  function drop() {
    hand = null;
    showKept();
  }

  return { resize, repaint, move, follow, keep, drop };
}

function inSheet(context, camera, ratio) {
  const scale = camera.scale * ratio;
  context.setTransform(scale, 0, 0, scale, camera.x * ratio, camera.y * ratio);
}

function wipe(context) {
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.globalCompositeOperation = "source-over";
  context.clearRect(0, 0, context.canvas.width, context.canvas.height);
}
