import assert from "node:assert/strict";
import test from "node:test";

import { holds } from "../../static/js/story.js";

const answers = { who_answers: ["parent"], eases: ["rest", "heat"] };
const chosen = (key) => answers[key] ?? [];

test("a question shows when the answer it hangs on is given", () => {
  assert.equal(holds({ item: "who_answers", is: ["parent", "carer"] }, chosen), true);
  assert.equal(holds({ item: "who_answers", is: ["carer"] }, chosen), false);
  assert.equal(holds({ item: "allergy", is: ["yes"] }, chosen), false);
});

test("of several answers one is enough", () => {
  assert.equal(holds({ item: "eases", is: ["heat"] }, chosen), true);
});

test("it reads all, any and none", () => {
  const [yes, no] = [{ item: "eases", is: ["heat"] }, { item: "eases", is: ["cold"] }];
  assert.equal(holds({ all: [yes, no] }, chosen), false);
  assert.equal(holds({ any: [yes, no] }, chosen), true);
  assert.equal(holds({ none: [no] }, chosen), true);
  assert.equal(holds({ none: [yes] }, chosen), false);
});

test("what it can not read is shown rather than hidden", () => {
  assert.equal(holds({ drawn: ["front:chest"] }, chosen), true);
  assert.equal(holds({ item: "morning_stiffness", at_least: 30 }, chosen), true);
});
