import assert from "node:assert/strict";
import test from "node:test";

import { freshToken } from "../../static/js/autosave.js";

const page = (text, more = {}) => async () => ({ ok: true, redirected: false, text: async () => text, ...more });

test("it takes the token of a page that still opens", async () => {
  const html = '<form><input type="hidden" name="csrfmiddlewaretoken" value="abc123"></form>';
  assert.equal(await freshToken(page(html), "/visits/1/story/"), "abc123");
});

test("it takes no token from the sign-in page, which is a form as well", async () => {
  const html = '<input type="hidden" name="csrfmiddlewaretoken" value="of-the-sign-in">';
  assert.equal(await freshToken(page(html, { redirected: true }), "/visits/1/story/"), "");
});

test("it takes none from a page that does not open or has no form", async () => {
  assert.equal(await freshToken(page("", { ok: false }), "/visits/1/story/"), "");
  assert.equal(await freshToken(page("<p>closed</p>"), "/visits/1/story/"), "");
});
