/**
 * Where things are. Three frames, always in this order:
 *   figure  millimetres in one view's own frame (front or back), as recorded and sent
 *   sheet   millimetres on the one sheet of paper that both views lie on
 *   screen  CSS pixels from the top left corner of the stage
 * A camera {scale, x, y} maps sheet to screen: screen = sheet * scale + [x, y]; scale is px per mm.
 * Pure: no document, no window.
 */

/** Empty paper inside each frame beside the hands, mm: the two views may move together by this much. */
const SIDE_MARGIN = 45;
/** Paper between the two views where both are shown, mm. */
const GUTTER = 30;
/** Pitch of the views where one is shown at a time: far enough that the other is never in sight. */
const APART = 6000;
/** Both views are shown side by side unless that makes the figure smaller than this share of one alone. */
const PAIR_WORTH = 0.88;
/** Empty paper that may show at an edge when zoomed in, px. */
const SLACK_PX = 90;
/** How far beyond its frame a point is recorded, mm; more than the widest nib's radius. */
export const BEYOND = 100;
/** Closest look, px per mm: a finger of 15 mm is then 48 px wide. */
export const CLOSEST = 3.2;

export function toScreen(camera, [x, y]) {
  return [x * camera.scale + camera.x, y * camera.scale + camera.y];
}

export function toSheet(camera, [x, y]) {
  return [(x - camera.x) / camera.scale, (y - camera.y) / camera.scale];
}

/** Sheet point -> figure point of `view`, kept within BEYOND mm of its frame (nothing outside can count). */
export function toFigure(sheet, view, [x, y]) {
  const frame = sheet.frames[view];
  return [
    clamp(x - sheet.offsets[view], -BEYOND, frame.width + BEYOND),
    clamp(y, -BEYOND, frame.height + BEYOND),
  ];
}

export function onSheet(sheet, view, [x, y]) {
  return [x + sheet.offsets[view], y];
}

/**
 * Lay both views on one sheet for a stage {width, height, room: {top, right, bottom, left}} in px.
 * figure: {front: {width, height, midline_x}, back: {...}} in mm.
 */
export function layOut(figure, stage) {
  const frames = { front: figure.front, back: figure.back };
  const pitch = figure.front.width - 2 * SIDE_MARGIN + GUTTER;
  const together = sheetOf(frames, pitch, true);
  const alone = sheetOf(frames, APART, false);
  const shrink = fit(together.bounds.front, stage).scale / fit(alone.bounds.front, stage).scale;
  return shrink >= PAIR_WORTH ? together : alone;
}

function sheetOf(frames, pitch, pair) {
  const offsets = { front: 0, back: pitch };
  const box = (view) => ({
    left: offsets[view] + SIDE_MARGIN,
    right: offsets[view] + frames[view].width - SIDE_MARGIN,
    top: 0,
    bottom: frames[view].height,
  });
  const both = { ...box("front"), right: box("back").right };
  const bounds = pair ? { front: both, back: both } : { front: box("front"), back: box("back") };
  return { frames, offsets, pair, bounds, border: pitch + (frames.front.width - pitch) / 2 };
}

/** The view a sheet point belongs to: each view owns its half of the sheet. */
export function viewAt(sheet, [x]) {
  return x < sheet.border ? "front" : "back";
}

/** The half of the sheet a view owns, as [left, right] in sheet mm. */
export function halfOf(sheet, view) {
  return view === "front" ? [-Infinity, sheet.border] : [sheet.border, Infinity];
}

/** The camera that shows a sheet box {left, right, top, bottom} whole, in the middle of the stage. */
export function fit(box, stage) {
  const room = inner(stage);
  const scale = Math.min(room.width / (box.right - box.left), room.height / (box.bottom - box.top));
  return centredOn([(box.left + box.right) / 2, (box.top + box.bottom) / 2], scale, stage);
}

/** The camera of the given scale with a sheet point in the middle of the stage. */
export function centredOn([x, y], scale, stage) {
  const room = inner(stage);
  return { scale, x: room.left + room.width / 2 - x * scale, y: room.top + room.height / 2 - y * scale };
}

/** The sheet point in the middle of the stage. */
export function centreOf(camera, stage) {
  const room = inner(stage);
  return toSheet(camera, [room.left + room.width / 2, room.top + room.height / 2]);
}

/** Zoom by a factor; the sheet point under the screen point `at` stays under it. */
export function zoomAt(camera, at, factor, [least, most]) {
  const scale = clamp(camera.scale * factor, least, most);
  const [x, y] = toSheet(camera, at);
  return { scale, x: at[0] - x * scale, y: at[1] - y * scale };
}

export function panBy(camera, dx, dy) {
  return { scale: camera.scale, x: camera.x + dx, y: camera.y + dy };
}

/** Two fingers moved from `before` to `after` ([a, b] screen points each): what was under them stays so. */
export function pinch(camera, before, after, range) {
  const from = middle(before);
  const to = middle(after);
  const factor = apart(after) / Math.max(1, apart(before));
  return panBy(zoomAt(camera, from, factor, range), to[0] - from[0], to[1] - from[1]);
}

/**
 * Keep the sheet box in sight: centred where it is smaller than the stage, else it may be moved until
 * a strip of SLACK_PX of empty paper shows, so that a hand at its edge can be looked at with room around.
 */
export function keepInSight(camera, box, stage) {
  const room = inner(stage);
  return {
    scale: camera.scale,
    x: slide(camera.x, camera.scale, box.left, box.right, room.left, room.width),
    y: slide(camera.y, camera.scale, box.top, box.bottom, room.top, room.height),
  };
}

function slide(offset, scale, low, high, start, length) {
  const first = start - low * scale;
  const last = start + length - high * scale;
  return last >= first ? (first + last) / 2 : clamp(offset, last - SLACK_PX, first + SLACK_PX);
}

function inner({ width, height, room }) {
  return {
    left: room.left,
    top: room.top,
    width: Math.max(1, width - room.left - room.right),
    height: Math.max(1, height - room.top - room.bottom),
  };
}

function middle([a, b]) {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

function apart([a, b]) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

function clamp(value, low, high) {
  return Math.min(high, Math.max(low, value));
}

/** The same place of the body seen from the other side: left and right change places on the sheet. */
export function turnedOver(sheet, view, [x, y]) {
  return [sheet.frames[view].width - x, y];
}
