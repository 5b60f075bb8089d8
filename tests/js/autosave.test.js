import assert from "node:assert/strict";
import test from "node:test";

import { freshToken, keepDrafts } from "../../static/js/autosave.js";

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

/** A form with what keepDrafts needs of one, a server that answers when told to, and timers run by hand. */
function typing(dataset = {}) {
  const heard = {};
  const sent = [];
  const timers = [];
  const form = {
    dataset: { draft: "story:1", draftUrl: "/drafts/keep/", ...dataset },
    words: "",
    submitted: 0,
    querySelector: () => null,
    addEventListener: (name, call) => { heard[name] = call; },
    requestSubmit() {
      let isStopped = false;
      heard.submit({ preventDefault: () => { isStopped = true; }, submitter: undefined });
      if (!isStopped) form.submitted += 1;
    },
  };
  globalThis.FormData = class {
    constructor() { this.words = form.words; this.left = []; }
    delete(name) { this.left.push(name); }
    set() {}
    get() { return "token"; }
  };
  globalThis.addEventListener = () => {};
  keepDrafts(form, {
    send: (url, { body }) => new Promise((answer) => {
      const ok = { ok: true, json: async () => ({ kept: "story:1", at: "14:03" }) };
      sent.push({ words: body.words, left: body.left, arrive: () => answer(ok) });
    }),
    wait: (call) => timers.push(call),
    drop: (handle) => { timers[handle - 1] = () => {}; },
  });
  return {
    form, sent,
    type(words) { form.words = words; heard.change(); },
    pass() { timers.splice(0).forEach((call) => call()); },
    settle: () => new Promise((done) => { setImmediate(done); }),
  };
}

test("it sends one draft at a time, so that the newest arrives last", async () => {
  const { type, pass, sent, settle } = typing();
  type("a");
  pass();
  type("ab");
  pass();
  assert.deepEqual(sent.map(({ words }) => words), ["a"]);
  sent[0].arrive();
  await settle();
  pass();
  assert.deepEqual(sent.map(({ words }) => words), ["a", "ab"]);
});

test("it lets a draft arrive before the form is sent, and sends the form once", async () => {
  const { form, type, pass, sent, settle } = typing();
  type("a");
  pass();
  form.requestSubmit();
  form.requestSubmit();
  assert.equal(form.submitted, 0);
  sent[0].arrive();
  await settle();
  assert.equal(form.submitted, 1);
});

test("it does not wait for ever for a draft that does not arrive", async () => {
  const { form, type, pass, settle } = typing();
  type("a");
  pass();
  form.requestSubmit();
  pass();
  await settle();
  assert.equal(form.submitted, 1);
});

test("it leaves out what is sent with the form only", () => {
  const { type, pass, sent } = typing({ draftWithout: "file" });
  type("a");
  pass();
  assert.deepEqual(sent.map(({ left }) => left), [["file"]]);
});

test("a form with nothing on its way is sent at once", () => {
  const { form } = typing();
  form.requestSubmit();
  assert.equal(form.submitted, 1);
});
