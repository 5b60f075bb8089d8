/**
 * Which side is the patient's left and right, and which view this is: words in the top strip of the stage,
 * in sight at every zoom and wherever the sheet has been moved.
 * Pure: no document, no window.
 */
import { halfOf, onSheet, toScreen } from "./coordinates.js";

const VIEWS = ["front", "back"];
const SIDES = ["left", "right"];
/** Where a word stands in the stretch it names, from the midline outwards. */
const OUTWARDS = 0.58;
/** The words' height, and their distance from the crown, px. */
const ABOVE = 40;
/** Between two words, px. */
const APART = 8;

/**
 * The words to show: [{view, side, x, y, alone}], x the middle of the word and y its top, screen px.
 * side is "left" or "right" (the patient's), or "" for the name of the view, which stands on the midline;
 * alone: the view's own name has no room, so the word of the side must say the view as well.
 * widths: {side, full, view} px of the widest word of a side, of that with its view, and of a view's name.
 * Every side of which a strip as wide as its word is in sight is named; where none is, the widest strip is.
 */
export function wordsInSight(camera, sheet, stage, widths) {
  const strips = VIEWS.flatMap((view) => SIDES.map((side) => ({ view, side, strip: inSight(view, side, camera, sheet, stage) })));
  const worth = strips.filter(({ strip }) => lengthOf(strip) >= widths.side);
  const widest = strips.reduce((a, b) => (lengthOf(b.strip) > lengthOf(a.strip) ? b : a));
  const named = worth.length > 0 ? worth : [widest];
  const titled = VIEWS.filter((view) => hasRoom(view, strips, widths));
  const y = Math.max(stage.room.top, toScreen(camera, [0, 0])[1]) - ABOVE;
  return [
    ...named.map(({ view, side, strip }) => {
      // The view is left out where even it has no room: better the side alone than two words over each other.
      const alone = !titled.includes(view) && (named.length === 1 || lengthOf(strip) >= widths.full);
      const x = placeIn(strip, isOnLeftOfScreen(view, side), alone ? widths.full : widths.side, stage);
      return { view, side, x, y, alone };
    }),
    ...titled.map((view) => ({ view, side: "", x: midlineOf(view, camera, sheet), y, alone: false })),
  ];
}

/** The patient faces the reader in front: right is on the screen's left. From behind it is the other way. */
export function isOnLeftOfScreen(view, side) {
  return (view === "front") === (side === "right");
}

/** The stretch of screen, [from, to] px, in which a side of a view can be seen. */
export function inSight(view, side, camera, sheet, stage) {
  const [halfFrom, halfTo] = halfOf(sheet, view);
  const frame = sheet.frames[view];
  const [middle] = onSheet(sheet, view, [frame.midline_x, 0]);
  const onLeft = isOnLeftOfScreen(view, side);
  const from = onLeft ? Math.max(halfFrom, sheet.offsets[view]) : middle;
  const to = onLeft ? middle : Math.min(halfTo, sheet.offsets[view] + frame.width);
  return [Math.max(0, toScreen(camera, [from, 0])[0]), Math.min(stage.width, toScreen(camera, [to, 0])[0])];
}

/** The view's name stands between the words of its two sides, so only where all three have room. */
function hasRoom(view, strips, widths) {
  return strips.filter((each) => each.view === view)
    .every(({ side, strip }) => sideRoom(strip, isOnLeftOfScreen(view, side), widths) >= widths.view / 2 + APART);
}

/** How much a side's word leaves free towards the midline. */
function sideRoom(strip, onLeft, widths) {
  const length = lengthOf(strip);
  if (length < widths.side) return 0;
  const middle = placeIn(strip, onLeft, widths.side, { width: Infinity });
  return onLeft ? strip[1] - middle - widths.side / 2 : middle - widths.side / 2 - strip[0];
}

/** The middle of a word in its strip, the word whole on the stage. */
function placeIn([from, to], onLeft, width, stage) {
  const wanted = from + (to - from) * (onLeft ? 1 - OUTWARDS : OUTWARDS);
  const half = width / 2;
  const inStrip = Math.min(to - half, Math.max(from + half, wanted));
  return Math.min(stage.width - half, Math.max(half, inStrip));
}

function lengthOf([from, to]) {
  return to - from;
}

function midlineOf(view, camera, sheet) {
  return toScreen(camera, onSheet(sheet, view, [sheet.frames[view].midline_x, 0]))[0];
}
