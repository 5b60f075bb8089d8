/**
 * Which part of the sheet the stage shows, and every way of changing it: pinch, wheel, buttons, keys.
 * Pure: the stage's size is told to it, and it tells `changed` what to show.
 */
import { CLOSEST, centreOf, centredOn, fit, keepInSight, layOut, onSheet, panBy, pinch, toFigure, toScreen, toSheet, turnedOver, viewAt, zoomAt } from "./coordinates.js";

/** One press of a zoom button; four presses go from the whole figure to a hand. */
const STEP = 1.6;
/** One press of an arrow moves the sheet by this share of the stage. */
const STRIDE = 0.35;
/** Zoom buttons start from the upper body, where most will want to look first: share of the frame's height. */
const UPPER_BODY = 0.28;

const clamp = (value, [low, high]) => Math.min(high, Math.max(low, value));

/**
 * changed({camera, sheet, stage, view, whole, settled}): show this; settled is false while fingers still move it.
 */
export function createViewport({ figure, changed }) {
  let stage = { width: 1, height: 1, room: { top: 0, right: 0, bottom: 0, left: 0 } };
  let sheet = null;
  let camera = null;
  let chosen = "front";
  let lookedAt = null;
  let beforePinch = null;

  const bounds = () => sheet.bounds[chosen];
  const least = () => fit(bounds(), stage).scale;
  const range = () => [least(), Math.max(CLOSEST, least())];
  const isWhole = () => camera.scale <= least() * 1.001;

  function show(next, settled = true) {
    camera = keepInSight(next, bounds(), stage);
    if (sheet.pair && !isWhole()) chosen = viewAt(sheet, centreOf(camera, stage));
    tell(settled);
  }

  /** Moved by hand: what was drawn last is no longer what is looked at. */
  function moveTo(next) {
    lookedAt = null;
    show(next, false);
  }

  function tell(settled) {
    changed({ camera, sheet, stage, view: chosen, whole: isWhole(), settled });
  }

  function resize(newStage) {
    const before = camera && !isWhole() ? inFigure(centreOf(camera, stage)) : null;
    stage = newStage;
    sheet = layOut(figure, stage);
    if (!before) return whole();
    show(centredOn(onSheet(sheet, before.view, before.place), camera.scale, stage));
  }

  function whole() {
    lookedAt = null;
    show(fit(bounds(), stage));
  }

  /** The buttons bring what is looked at into the middle: at the edge it would be cut off. */
  function step(factor) {
    const scale = clamp(camera.scale * factor, range());
    show(centredOn(focus(), scale, stage));
  }

  /** The sheet point the buttons look at: the end of the last stroke, while it can be seen. */
  function focus() {
    const place = lookedAt && onSheet(sheet, lookedAt.view, lookedAt.place);
    if (place && isOnStage(toScreen(camera, place))) return place;
    if (!isWhole()) return centreOf(camera, stage);
    const frame = sheet.frames[chosen];
    return onSheet(sheet, chosen, [frame.midline_x, frame.height * UPPER_BODY]);
  }

  function isOnStage([x, y]) {
    return x >= 0 && y >= 0 && x <= stage.width && y <= stage.height;
  }

  /** Go to a view; when zoomed in, to the same place of the body on its other side, at the same zoom. */
  function turnTo(view) {
    const { view: from, place } = inFigure(centreOf(camera, stage));
    chosen = view;
    lookedAt = null;
    const there = from === view ? place : turnedOver(sheet, view, place);
    show(centredOn(onSheet(sheet, view, there), camera.scale, stage));
  }

  /** Show a place of the body {boxes: {view: [left, top, right, bottom] mm}}, in the view in use if it is there. */
  function showPlace({ boxes }) {
    const view = chosen in boxes ? chosen : Object.keys(boxes)[0];
    const [left, top, right, bottom] = boxes[view];
    chosen = view;
    lookedAt = null;
    const near = onSheet(sheet, view, [left, top]);
    const far = onSheet(sheet, view, [right, bottom]);
    const { scale } = fit({ left: near[0], top: near[1], right: far[0], bottom: far[1] }, stage);
    show(centredOn([(near[0] + far[0]) / 2, (near[1] + far[1]) / 2], clamp(scale, range()), stage));
  }

  function inFigure(point) {
    const view = viewAt(sheet, point);
    return { view, place: toFigure(sheet, view, point) };
  }

  return {
    resize,
    whole,
    showPlace,
    turnTo,
    closer: () => step(STEP),
    farther: () => step(1 / STEP),
    zoomAt: (at, factor) => moveTo(zoomAt(camera, at, factor, range())),
    pan: (dx, dy) => moveTo(panBy(camera, dx, dy)),
    /** One step towards what lies at the "left", "right", "up" or "down". */
    step(direction) {
      const [x, y] = { left: [1, 0], right: [-1, 0], up: [0, 1], down: [0, -1] }[direction];
      moveTo(panBy(camera, x * STRIDE * stage.width, y * STRIDE * stage.height));
    },
    pinchBegin: () => { beforePinch = camera; },
    /** One finger moves the sheet, two move and zoom it. */
    pinch(before, after) {
      if (before.length === 2) return moveTo(pinch(camera, before, after, range()));
      moveTo(panBy(camera, after[0][0] - before[0][0], after[0][1] - before[0][1]));
    },
    pinchEnd: () => tell(true),
    /** It was the writing hand, not a pinch: as it was. */
    pinchDrop: () => show(beforePinch),
    /** Remember where the last stroke ended. */
    lookAt(view, place) {
      lookedAt = { view, place };
    },
    scale: () => camera.scale,
    sheet: () => sheet,
    toSheet: (point) => toSheet(camera, point),
  };
}
