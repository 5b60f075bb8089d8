/**
 * The body on the sheet: relief under the ink, and over it the paper with the bodies cut out,
 * so that ink beside the body is dimmed as it is drawn; the outline on top. And the words beside it:
 * which view this is and which side is the patient's left and right, in sight at every zoom.
 */
import { halfOf, onSheet, toScreen } from "./coordinates.js";

const VIEWS = ["front", "back"];
/** Ink beside the body shows this faintly: enough to see the pen work, too little to be taken for pain. */
const DIM = 0.95;
/** A side is named when at least this much of it is in sight, px: the width of its word. */
const WORTH_NAMING = 124;
/** Where a word stands in the stretch it names, from the midline outwards. */
const OUTWARDS = 0.58;
/** The words' height, and their distance from the crown, px. */
const ABOVE = 40;

/** figure: {front: {width, height, outline, relief}, back: ...}; below and above are canvases. */
export function createFigure({ below, above, figure, colours, loaded }) {
  const paths = Object.fromEntries(VIEWS.map((view) => [view, new Path2D(figure[view].outline)]));
  const reliefs = Object.fromEntries(VIEWS.map((view) => [view, load(figure[view].relief, loaded)]));
  const edges = Object.fromEntries(VIEWS.map((view) => [view, cornersOf(figure[view].outline)]));
  // Never painted on: a context that measures in figure mm.
  const probe = document.createElement("canvas").getContext("2d");
  const under = below.getContext("2d");
  const over = above.getContext("2d");
  let ratio = 1;

  return {
    resize(width, height, pixelRatio) {
      ratio = pixelRatio;
      for (const canvas of [below, above]) {
        canvas.width = Math.round(width * ratio);
        canvas.height = Math.round(height * ratio);
      }
    },
    paint(camera, sheet) {
      paintBodies(under, camera, sheet, ratio, { paths, reliefs, figure, colours });
      paintPaper(over, camera, sheet, ratio, { paths, colours });
    },
    /** Is any part of a stroke of this view on the body, or of the body within its loop? */
    touchesBody(stroke) {
      const body = paths[stroke.view];
      probe.lineWidth = stroke.nib_mm;
      if (stroke.points.some(([x, y]) => probe.isPointInPath(body, x, y) || probe.isPointInStroke(body, x, y))) return true;
      if (stroke.mode !== "area") return false;
      const loop = new Path2D(`M${stroke.points.map(([x, y]) => `${x} ${y}`).join("L")}Z`);
      return edges[stroke.view].some(([x, y]) => probe.isPointInPath(loop, x, y));
    },
  };
}

function paintBodies(context, camera, sheet, ratio, { paths, reliefs, figure, colours }) {
  clear(context);
  for (const view of VIEWS) {
    inView(context, camera, sheet, view, ratio);
    context.fillStyle = colours.body;
    context.fill(paths[view]);
    const relief = reliefs[view];
    if (relief.complete && relief.naturalWidth > 0) context.drawImage(relief, 0, 0, figure[view].width, figure[view].height);
  }
}

function paintPaper(context, camera, sheet, ratio, { paths, colours }) {
  clear(context);
  context.globalAlpha = DIM;
  context.fillStyle = colours.paper;
  context.fillRect(0, 0, context.canvas.width, context.canvas.height);
  context.globalAlpha = 1;
  for (const view of VIEWS) {
    inView(context, camera, sheet, view, ratio);
    context.globalCompositeOperation = "destination-out";
    context.fill(paths[view]);
    context.globalCompositeOperation = "source-over";
    context.strokeStyle = colours.outline;
    context.lineWidth = 1.4 / camera.scale;
    context.stroke(paths[view]);
  }
}

/** Put each of the words {view, side, element} over what is in sight of its side, or hide it. */
export function placeWords(words, camera, sheet, stage) {
  for (const word of words) {
    const place = placeOf(word, camera, sheet, stage);
    word.element.hidden = !place;
    if (!place) continue;
    word.element.style.left = `${place[0]}px`;
    word.element.style.top = `${place[1]}px`;
  }
}

/**
 * The middle of the top edge of a word, [x, y] screen px, or null when what it names is out of sight.
 * side is "left" or "right" (the patient's), or "" for the name of the view, which stands on the midline.
 */
export function placeOf({ view, side }, camera, sheet, stage) {
  const [, top] = toScreen(camera, [0, 0]);
  const y = Math.max(stage.room.top, top) - ABOVE;
  const [middle] = toScreen(camera, onSheet(sheet, view, [sheet.frames[view].midline_x, 0]));
  if (side === "") return bothNamed(view, camera, sheet, stage) ? [middle, y] : null;
  const [from, to] = inSight(view, side, camera, sheet, stage);
  if (to - from < WORTH_NAMING) return null;
  const outwards = isOnLeftOfScreen(view, side) ? 1 - OUTWARDS : OUTWARDS;
  const half = WORTH_NAMING / 2;
  return [Math.min(to - half, Math.max(from + half, from + (to - from) * outwards)), y];
}

/** The patient faces the reader in front: right is on the screen's left. From behind it is the other way. */
function isOnLeftOfScreen(view, side) {
  return (view === "front") === (side === "right");
}

/** The stretch of screen, [from, to] px, in which a side of a view can be seen. */
function inSight(view, side, camera, sheet, stage) {
  const [halfFrom, halfTo] = halfOf(sheet, view);
  const frame = sheet.frames[view];
  const [middle] = onSheet(sheet, view, [frame.midline_x, 0]);
  const onLeft = isOnLeftOfScreen(view, side);
  const from = onLeft ? Math.max(halfFrom, sheet.offsets[view]) : middle;
  const to = onLeft ? middle : Math.min(halfTo, sheet.offsets[view] + frame.width);
  return [Math.max(0, toScreen(camera, [from, 0])[0]), Math.min(stage.width, toScreen(camera, [to, 0])[0])];
}

/** The view's name stands between the words of its two sides, so only where both have room. */
function bothNamed(view, camera, sheet, stage) {
  return ["left", "right"].every((side) => {
    const [from, to] = inSight(view, side, camera, sheet, stage);
    return to - from >= WORTH_NAMING * 1.3;
  });
}

/** The points of an outline path "M1 2L3 4...Z". */
function cornersOf(path) {
  return [...path.matchAll(/(-?[\d.]+)[ ,](-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)]);
}

function load(source, loaded) {
  const image = new Image();
  image.addEventListener("load", loaded);
  image.src = source;
  return image;
}

function inView(context, camera, sheet, view, ratio) {
  const scale = camera.scale * ratio;
  context.setTransform(scale, 0, 0, scale, (camera.x + sheet.offsets[view] * camera.scale) * ratio, camera.y * ratio);
}

function clear(context) {
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.globalCompositeOperation = "source-over";
  context.clearRect(0, 0, context.canvas.width, context.canvas.height);
}
