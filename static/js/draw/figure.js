/**
 * The body on the sheet: relief under the ink, and over it the paper with the bodies cut out,
 * so that ink beside the body is dimmed as it is drawn; the outline on top.
 */
const VIEWS = ["front", "back"];
/** Ink beside the body shows this faintly: enough to see the pen work, too little to be taken for pain. */
const DIM = 0.95;
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
