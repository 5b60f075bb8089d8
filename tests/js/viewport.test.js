import assert from "node:assert/strict";
import { test } from "node:test";
import { CLOSEST, centreOf, toFigure, viewAt } from "../../static/js/draw/coordinates.js";
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

test("a place is shown in the view in use when it can be seen there, else in the view that has it", () => {
  const knees = { boxes: { front: [300, 1080, 700, 1260], back: [300, 1090, 700, 1250] } };
  const sole = { boxes: { back: [820, 1360, 980, 1680] } };
  for (const stage of [desk, upright]) {
    const { viewport, shown, middle } = scene(stage);
    viewport.turnTo("back");
    viewport.showPlace(knees);
    assert.deepEqual(middle(), { view: "back", place: [500, 1170] });
    viewport.turnTo("front");
    viewport.showPlace(sole);
    assert.equal(middle().view, "back");
    viewport.whole();
    assert.equal(shown().whole, true);
  }
});

test("a place fills the stage: all of it is in sight, and it could not be much larger", () => {
  const box = [383.7, 0, 616.3, 338.8];
  const { viewport, shown } = scene(desk);
  viewport.showPlace({ boxes: { front: box } });
  const { camera, sheet, stage } = shown();
  const [left, right] = [box[0], box[2]].map((x) => (x + sheet.offsets.front) * camera.scale + camera.x);
  const [top, bottom] = [box[1], box[3]].map((y) => y * camera.scale + camera.y);
  assert.ok(left >= 0 && right <= stage.width && top >= stage.room.top - 1 && bottom <= stage.height, [left, right, top, bottom].join());
  assert.ok(bottom - top > 0.9 * (stage.height - room.top - room.bottom) || camera.scale === CLOSEST);
});

test("one finger moves the sheet by as much as it moves itself", () => {
  const { viewport, shown } = scene();
  for (let i = 0; i < 3; i += 1) viewport.closer();
  const before = shown().camera;
  viewport.pinchBegin();
  viewport.pinch([[300, 300]], [[280, 330]]);
  assert.deepEqual(shown().camera, { scale: before.scale, x: before.x - 20, y: before.y + 30 });
});
