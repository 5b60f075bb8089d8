import assert from "node:assert/strict";
import { test } from "node:test";
import { BEYOND, centreOf, centredOn, fit, keepInSight, layOut, onSheet, pinch, toFigure, toScreen, toSheet, turnedOver, viewAt, zoomAt } from "../../static/js/draw/coordinates.js";

const frame = { width: 1000, height: 1700, midline_x: 500 };
const figure = { front: frame, back: frame };
const room = { top: 48, right: 12, bottom: 16, left: 12 };
const desk = { width: 768, height: 740, room };
const upright = { width: 438, height: 780, room };
const range = [0.4, 3.2];

function near(actual, expected, within = 1e-9) {
  actual.forEach((value, index) => assert.ok(Math.abs(value - expected[index]) <= within, `${actual} is not ${expected}`));
}

test("a point goes to the screen and back to the same place", () => {
  const camera = { scale: 1.7, x: -312, y: 48 };
  near(toSheet(camera, toScreen(camera, [412.5, 1033.2])), [412.5, 1033.2]);
});

test("one millimetre is as many pixels as the camera's scale says", () => {
  const camera = { scale: 2, x: 10, y: 20 };
  near(toScreen(camera, [101, 50]), [212, 120]);
});

test("a wide stage shows both views, a narrow one shows one as large as it can", () => {
  assert.equal(layOut(figure, desk).pair, true);
  assert.equal(layOut(figure, upright).pair, false);
  const alone = fit(layOut(figure, upright).bounds.front, upright).scale;
  assert.ok(alone * 1700 > 700, `the figure is only ${alone * 1700} px tall`);
});

test("the whole of both views lies on the stage at first", () => {
  const sheet = layOut(figure, desk);
  const camera = fit(sheet.bounds.front, desk);
  const [left, top] = toScreen(camera, onSheet(sheet, "front", [71, 0]));
  const [right, bottom] = toScreen(camera, onSheet(sheet, "back", [929, 1700]));
  assert.ok(left >= room.left && top >= room.top && right <= desk.width - room.right && bottom <= desk.height - room.bottom);
});

test("each view owns its half of the sheet, the hands' neighbours included", () => {
  const sheet = layOut(figure, desk);
  assert.equal(viewAt(sheet, onSheet(sheet, "front", [929, 900])), "front");
  assert.equal(viewAt(sheet, onSheet(sheet, "back", [71, 900])), "back");
  assert.ok(onSheet(sheet, "front", [929, 0])[0] < onSheet(sheet, "back", [71, 0])[0]);
});

test("a sheet point becomes millimetres of its own view", () => {
  const sheet = layOut(figure, desk);
  near(toFigure(sheet, "back", onSheet(sheet, "back", [640.4, 312])), [640.4, 312]);
});

test("a line that runs far off the paper stays within reach of the frame", () => {
  const sheet = layOut(figure, desk);
  near(toFigure(sheet, "front", [-4000, 9000]), [-BEYOND, 1700 + BEYOND]);
});

test("zooming keeps the place under the pointer", () => {
  const camera = { scale: 0.5, x: 30, y: 40 };
  const at = [300, 200];
  near(toSheet(zoomAt(camera, at, 2.5, range), at), toSheet(camera, at));
});

test("zooming stops at the whole figure and at the closest look", () => {
  const camera = { scale: 1, x: 0, y: 0 };
  assert.equal(zoomAt(camera, [0, 0], 100, range).scale, 3.2);
  assert.equal(zoomAt(camera, [0, 0], 0.001, range).scale, 0.4);
});

test("pinching keeps the place between the fingers between the fingers", () => {
  const camera = { scale: 0.8, x: 5, y: -60 };
  const after = pinch(camera, [[100, 100], [200, 100]], [[80, 160], [280, 160]], range);
  assert.equal(after.scale, 1.6);
  near(toSheet(after, [180, 160]), toSheet(camera, [150, 100]));
});

test("two fingers side by side move the sheet without zooming", () => {
  const camera = { scale: 0.8, x: 5, y: -60 };
  const after = pinch(camera, [[100, 100], [200, 100]], [[130, 150], [230, 150]], range);
  near([after.scale, after.x, after.y], [0.8, 35, -10]);
});

test("the sheet cannot be pushed out of sight", () => {
  const sheet = layOut(figure, desk);
  const lost = { scale: 2, x: 99999, y: -99999 };
  const kept = keepInSight(lost, sheet.bounds.front, desk);
  const [left] = toScreen(kept, onSheet(sheet, "front", [71, 0]));
  const [, bottom] = toScreen(kept, [0, 1700]);
  assert.ok(left < desk.width / 2 && bottom > desk.height / 2);
});

test("a camera set on a place has it in the middle", () => {
  const camera = centredOn([420, 900], 1.5, desk);
  near(centreOf(camera, desk), [420, 900]);
});

test("the same place from the other side is mirrored about the midline", () => {
  const sheet = layOut(figure, desk);
  near(turnedOver(sheet, "front", [300, 250]), [700, 250]);
});
