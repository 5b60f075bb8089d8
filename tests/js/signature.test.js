import assert from "node:assert/strict";
import test from "node:test";

import { deviceTime, parse, toBox } from "../../static/js/signature.js";

const BOX = { width: 600, height: 200 };

test("it keeps points in a box of 600 by 200, whatever the size on the screen", () => {
  const rect = { left: 10, top: 20, width: 300, height: 100 };
  assert.deepEqual(toBox({ clientX: 160, clientY: 70 }, rect, BOX), [300, 100]);
  assert.deepEqual(toBox({ clientX: 10, clientY: 20 }, rect, BOX), [0, 0]);
});

test("it keeps a pen that runs off the box at its edge", () => {
  const rect = { left: 0, top: 0, width: 600, height: 200 };
  assert.deepEqual(toBox({ clientX: -5, clientY: 900 }, rect, BOX), [0, 200]);
});

test("it rounds to a tenth", () => {
  const rect = { left: 0, top: 0, width: 599, height: 200 };
  assert.deepEqual(toBox({ clientX: 100, clientY: 33.333 }, rect, BOX), [100.2, 33.3]);
});

test("it begins with an empty box when what is there is no signature", () => {
  for (const text of ["", "{", "7", '{"a": 1}']) assert.deepEqual(parse(text), []);
  assert.deepEqual(parse("[[[1,2]]]"), [[[1, 2]]]);
});

test("it tells the device's time with its offset", () => {
  const at = (offset) => {
    const now = new Date("2026-11-25T13:03:07Z");
    now.getTimezoneOffset = () => offset;
    return deviceTime(now);
  };
  assert.equal(at(-60), "2026-11-25T14:03:07+01:00");
  assert.equal(at(0), "2026-11-25T13:03:07+00:00");
  assert.equal(at(210), "2026-11-25T09:33:07-03:30");
});
