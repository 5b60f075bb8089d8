import assert from "node:assert/strict";
import { test } from "node:test";
import { CLOSEST, centreOf, toFigure, viewAt } from "../../static/js/draw/coordinates.js";
import { placeOf } from "../../static/js/draw/figure.js";
import { createViewport } from "../../static/js/draw/viewport.js";

const frame = { width: 1000, height: 1700, midline_x: 500 };
const room = { top: 48, right: 12, bottom: 16, left: 12 };
const desk = { width: 768, height: 740, room };
const upright = { width: 438, height: 780, room };

function scene(stage = desk) {
  let shown = null;
  const viewport = createViewport({ figure: { front: frame, back: frame }, changed: (next) => { shown = next; } });
  viewport.resize(stage);
  return { viewport, shown: () => shown, middle: () => middleOf(shown) };
}

function middleOf({ camera, sheet, stage }) {
  const centre = centreOf(camera, stage);
  const view = viewAt(sheet, centre);
  return { view, place: toFigure(sheet, view, centre).map(Math.round) };
}

/** Which words can be seen, as "front left" and so on. */
function wordsShown({ camera, sheet, stage }) {
  const all = ["front", "back"].flatMap((view) => ["left", "right"].map((side) => ({ view, side })));
  return all.filter((word) => placeOf(word, camera, sheet, stage)).map(({ view, side }) => `${view} ${side}`);
}

test("it starts with the whole figure", () => {
  assert.equal(scene().shown().whole, true);
});

test("looking closer goes to where the last stroke ended", () => {
  const { viewport, middle } = scene();
  viewport.lookAt("back", [420, 300]);
  for (let i = 0; i < 3; i += 1) viewport.closer();
  assert.deepEqual(middle(), { view: "back", place: [420, 300] });
});

test("four presses are close enough to draw on a hand", () => {
  const { viewport } = scene();
  for (let i = 0; i < 4; i += 1) viewport.closer();
  assert.ok(190 * viewport.scale() > 400, "a hand of 190 mm is at least 400 px long");
});

test("it goes no closer than the closest and no farther than the whole", () => {
  const { viewport, shown } = scene();
  for (let i = 0; i < 20; i += 1) viewport.closer();
  assert.equal(viewport.scale(), CLOSEST);
  for (let i = 0; i < 20; i += 1) viewport.farther();
  assert.equal(shown().whole, true);
});

test("turning over shows the same place from the other side at the same zoom", () => {
  for (const stage of [desk, upright]) {
    const { viewport, middle } = scene(stage);
    viewport.lookAt("front", [300, 400]);
    for (let i = 0; i < 3; i += 1) viewport.closer();
    const scale = viewport.scale();
    viewport.turnTo("back");
    assert.deepEqual(middle(), { view: "back", place: [700, 400] });
    assert.equal(viewport.scale(), scale);
  }
});

test("turning over the whole figure shows the other view whole", () => {
  const { viewport, shown, middle } = scene(upright);
  viewport.turnTo("back");
  assert.equal(shown().whole, true);
  assert.equal(middle().view, "back");
});

test("every part can be reached with single presses", () => {
  const { viewport, middle } = scene(upright);
  for (let i = 0; i < 3; i += 1) viewport.closer();
  for (let i = 0; i < 20; i += 1) viewport.step("down");
  assert.ok(middle().place[1] > 1450);
  for (let i = 0; i < 20; i += 1) viewport.step("left");
  assert.ok(middle().place[0] < 200);
});

test("turning the tablet keeps the place and the zoom", () => {
  const { viewport, middle } = scene();
  viewport.lookAt("front", [500, 600]);
  for (let i = 0; i < 3; i += 1) viewport.closer();
  const scale = viewport.scale();
  viewport.resize(upright);
  assert.deepEqual(middle(), { view: "front", place: [500, 600] });
  assert.equal(viewport.scale(), scale);
});

test("a pinch that was none goes back to what was shown", () => {
  const { viewport, shown } = scene();
  const before = shown().camera;
  viewport.pinchBegin();
  viewport.pinch([[300, 300], [400, 300]], [[200, 300], [500, 300]]);
  assert.equal(shown().settled, false);
  viewport.pinchDrop();
  assert.deepEqual(shown().camera, before);
  assert.equal(shown().settled, true);
});

test("the whole figure names both sides of each view it shows", () => {
  assert.deepEqual(wordsShown(scene(desk).shown()), ["front left", "front right", "back left", "back right"]);
  assert.deepEqual(wordsShown(scene(upright).shown()), ["front left", "front right"]);
});

test("the patient's right is on the screen's left in front and on its right from behind", () => {
  const { camera, sheet, stage } = scene(desk).shown();
  const x = (view, side) => placeOf({ view, side }, camera, sheet, stage)[0];
  assert.ok(x("front", "right") < x("front", "left"));
  assert.ok(x("back", "left") < x("back", "right"));
});

test("at every zoom and every place the side in the middle of the stage is named, and only on its side", () => {
  for (const stage of [desk, upright]) {
    const { viewport, shown } = scene(stage);
    for (let level = 0; level < 6; level += 1) {
      for (const x of [120, 300, 450, 550, 700, 880]) {
        for (const view of ["front", "back"]) {
          viewport.turnTo(view);
          viewport.lookAt(view, [x, 500]);
          viewport.closer();
          check(shown(), x);
        }
      }
    }
  }
});

function check(shown) {
  const { view, place: [x] } = middleOf(shown);
  const named = wordsShown(shown);
  const side = (view === "front") === (x < 500) ? "right" : "left";
  // Within a word's width of the midline either side may be the one that has room.
  if (Math.abs(x - 500) * shown.camera.scale > 130) assert.ok(named.includes(`${view} ${side}`), `${view} ${x}: ${named}`);
  assert.ok(named.length > 0);
}
