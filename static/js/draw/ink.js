/**
 * The ink on the stage: what stands is painted once per view of the sheet into a canvas kept aside;
 * the visible canvas is a copy of it, and the stroke in hand is painted on top, new pieces only.
 * So a frame costs the new piece, however much has been drawn; and what is laid never changes its look
 * until the sheet moves or something is taken away: the kept canvas is a copy of what was seen.
 * What others drew lies below on a canvas of its own, each layer painted apart, so that an eraser
 * rubs out its own layer only, as the server paints it.
 */
import { onSheet, toScreen } from "./coordinates.js";
import { paintEnd, paintLoop, paintStroke, paintTip } from "./brush.js";
import { patternFor, stretchAt } from "./texture.js";

/**
 * canvas: one's own ink; below: that of others; overlay: the dashed line; kinds: data for the looks;
 * others: their strokes; colours: {ink, paper, soft}.
 */
export function createInk({ canvas, below, overlay, kinds, others, colours }) {
  const shown = canvas.getContext("2d");
  const above = overlay.getContext("2d");
  const beneath = below.getContext("2d");
  const kept = document.createElement("canvas").getContext("2d");
  const keptBelow = document.createElement("canvas").getContext("2d");
  const scratch = document.createElement("canvas").getContext("2d");
  const kindOf = Object.fromEntries(kinds.map((kind) => [kind.id, kind]));
  const layers = [...new Set(others.map(({ layer }) => layer))].map((name) => others.filter(({ layer }) => layer === name));
  const alone = layers.length === 0;
  let camera = { scale: 1, x: 0, y: 0 };
  let keptCamera = camera;
  let belowCamera = null;
  let sheet = null;
  let ratio = 1;
  let looks = {};
  let hand = null;
  below.hidden = alone;

  function look(id) {
    looks[id] ??= patternFor(shown, kindOf[id], camera.scale * ratio, stretchAt(kindOf[id], camera.scale));
    return looks[id];
  }

  function resize(width, height, pixelRatio) {
    ratio = pixelRatio;
    belowCamera = null;
    for (const context of [shown, above, kept, ...(alone ? [] : [beneath, keptBelow, scratch])]) {
      context.canvas.width = Math.round(width * ratio);
      context.canvas.height = Math.round(height * ratio);
    }
  }

  /** Paint one's own strokes that stand afresh: after a change of camera, an undo, a reload. */
  function repaint(strokes, newCamera, newSheet) {
    if (newCamera.scale !== camera.scale || newSheet !== sheet) looks = {};
    camera = keptCamera = newCamera;
    sheet = newSheet;
    paintInto(kept, strokes);
    repaintBelow();
    drop();
  }

  function paintInto(context, strokes) {
    wipe(context);
    inSheet(context, camera, ratio);
    for (const stroke of strokes) paintStroke(context, stroke, sheet, look);
  }

  /** Others' ink never changes here: only another camera needs it painted again. */
  function repaintBelow() {
    if (alone || belowCamera === camera) return;
    belowCamera = camera;
    wipe(keptBelow);
    for (const strokes of layers) {
      paintInto(scratch, strokes);
      wipe(keptBelow, false);
      keptBelow.globalCompositeOperation = "multiply";
      keptBelow.drawImage(scratch.canvas, 0, 0);
    }
    copy(keptBelow, beneath);
  }

  /** While the sheet is moving: the kept picture, shifted and scaled; sharp again at the next repaint. */
  function move(newCamera) {
    shift(kept, shown, newCamera);
    if (!alone) shift(keptBelow, beneath, newCamera);
  }

  function shift(from, to, { scale, x, y }) {
    const factor = scale / keptCamera.scale;
    wipe(to);
    to.setTransform(factor, 0, 0, factor, (x - keptCamera.x * factor) * ratio, (y - keptCamera.y * factor) * ratio);
    to.drawImage(from.canvas, 0, 0);
  }

  /** The stroke in hand has grown (or begun): paint what is new. */
  function follow(stroke) {
    if (stroke.mode === "area") return followLoop(stroke);
    const painted = hand?.id === stroke.id ? hand.painted : 0;
    inSheet(shown, camera, ratio);
    paintTip(shown, stroke, sheet, look, painted);
    hand = { id: stroke.id, painted: stroke.points.length - 1 };
  }

  function followLoop(stroke) {
    wipe(above);
    inSheet(above, camera, ratio);
    paintLoop(above, stroke, sheet, camera.scale, colours);
  }

  /** The stroke in hand is done: what is seen of it stays as it is. */
  function keep(stroke) {
    if (stroke.mode === "area") {
      inSheet(shown, camera, ratio);
      paintStroke(shown, stroke, sheet, look);
      wipe(above);
    } else {
      follow(stroke);
      inSheet(shown, camera, ratio);
      paintEnd(shown, stroke, sheet, look);
    }
    hand = null;
    copy(shown, kept, boxOf(stroke));
  }

  /** The stroke in hand was none: away with it. */
  function drop() {
    hand = null;
    copy(kept, shown);
    wipe(above);
  }

  /** What a stroke may cover of the canvas: [left, top, width, height] whole device px. */
  function boxOf({ view, points, nib_mm }) {
    const [xs, ys] = [0, 1].map((axis) => points.map((point) => point[axis]));
    const place = (x, y) => toScreen(camera, onSheet(sheet, view, [x, y])).map((value) => value * ratio);
    const [left, top] = place(Math.min(...xs) - nib_mm, Math.min(...ys) - nib_mm).map((value) => Math.max(0, Math.floor(value)));
    const [right, bottom] = place(Math.max(...xs) + nib_mm, Math.max(...ys) + nib_mm).map(Math.ceil);
    return [left, top, Math.max(1, right - left), Math.max(1, bottom - top)];
  }

  return { resize, repaint, move, follow, keep, drop };
}

function inSheet(context, camera, ratio) {
  const scale = camera.scale * ratio;
  context.setTransform(scale, 0, 0, scale, camera.x * ratio, camera.y * ratio);
}

/** All of it, or only a box of it. */
function copy(from, to, box = [0, 0, to.canvas.width, to.canvas.height]) {
  wipe(to, false);
  to.clearRect(...box);
  to.drawImage(from.canvas, ...box, ...box);
}

function wipe(context, clears = true) {
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.globalCompositeOperation = "source-over";
  if (clears) context.clearRect(0, 0, context.canvas.width, context.canvas.height);
}
