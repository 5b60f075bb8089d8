import assert from "node:assert/strict";
import test from "node:test";

import { difference, fillNormal } from "../../static/js/neuro.js";

test("it says how the sides differ", () => {
  assert.equal(difference("4", "5"), "sides differ: right 4, left 5");
});

test("it compares only sides that were tested", () => {
  assert.equal(difference("5", "5"), "");
  assert.equal(difference("4", undefined), "");
  assert.equal(difference(undefined, "4"), "");
  assert.equal(difference("NT", "4"), "");
  assert.equal(difference("4", "NT"), "");
});

test("it fills in what is open, keeps what was chosen, and tells the form", () => {
  const grade = (name, value, normal, checked) => ({ name, value, normal, checked });
  const grades = [
    grade("C5_right", "5", true, false), grade("C5_right", "4", false, true),
    grade("C5_left", "5", true, false), grade("C5_left", "4", false, false),
  ];
  const told = [];
  const form = {
    querySelectorAll: () => grades.filter((each) => each.normal),
    querySelector: (wanted) => grades.find((each) => wanted.includes(`"${each.name}"`) && each.checked) ?? null,
    dispatchEvent: (event) => told.push(event.type),
  };
  fillNormal(form);
  assert.deepEqual(grades.filter((each) => each.checked).map((each) => `${each.name} ${each.value}`), [
    "C5_right 4", "C5_left 5",
  ]);
  assert.deepEqual(told, ["change"]);
});
