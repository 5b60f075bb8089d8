// A text block goes after what was typed, on a line of its own.
import assert from "node:assert/strict";
import { test } from "node:test";
import { joined } from "../../static/js/note.js";

test("a block goes into an empty field as it is", () => {
  assert.equal(joined("", "Again in ten days."), "Again in ten days.");
  assert.equal(joined(" \n", "Again in ten days."), "Again in ten days.");
});

test("a block goes after what was typed, and takes none of it away", () => {
  assert.equal(joined("Rests first.\n", "Again."), "Rests first.\nAgain.");
});
