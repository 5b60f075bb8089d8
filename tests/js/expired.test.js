// A session that has ended never looks like success, in any script that asks the server (stack C9, 18).

import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import test from "node:test";

import { freshToken, keepDrafts } from "../../static/js/autosave.js";
import { readLeft } from "../../static/js/away.js";
import { overHttp } from "../../static/js/draw/outbox.js";

/** What fetch gives when the server leads to the page to sign in: followed, or not. */
const FOLLOWED = {
  ok: true, status: 200, redirected: true, type: "basic", headers: new Headers({ "Content-Type": "text/html" }),
  text: async () => '<input name="csrfmiddlewaretoken" value="of-the-sign-in">',
  json: async () => { throw new SyntaxError("a page is no JSON"); },
};
const NOT_FOLLOWED = { ...FOLLOWED, ok: false, status: 0, redirected: false, type: "opaqueredirect", headers: new Headers() };

// How each of them tells success from a page to sign in. A script that is not here has to be thought about.
const TOLD_APART = {
  "autosave.js": /told\.kept !== form\.dataset\.draft/,
  "away.js": /redirect: "manual"/,
  "board.js": /redirect: "manual"[^]*?if \(!answer\.ok\)/,
  "leftover.js": /if \(!answer\.ok \|\| !isJson\) throw/,
  "muscles.js": /said === null|answer\.redirected/,
  "offline.js": /fetch\("\/healthz"/,
  "questions.js": /redirect: "manual"[^]*?if \(!answer\.ok\) return false/,
  "draw/outbox.js": /response\.type === "opaqueredirect"/,
};

test("every script that asks the server tells success from a page to sign in", () => {
  const folder = new URL("../../static/js/", import.meta.url);
  const asking = readdirSync(folder, { recursive: true })
    .filter((name) => name.endsWith(".js"))
    .filter((name) => /\bfetch\(/.test(readFileSync(new URL(name, folder), "utf-8")));
  for (const name of asking) {
    assert.ok(TOLD_APART[name], `${name} asks the server: say how it tells an ended session from success`);
    assert.match(readFileSync(new URL(name, folder), "utf-8"), TOLD_APART[name], name);
  }
});

for (const [how, answer] of Object.entries({ followed: FOLLOWED, "not followed": NOT_FOLLOWED })) {
  test(`strokes are not taken for stored (${how})`, async () => {
    const transport = overHttp({
      url: "/board/save/", csrf: "t", fetch: async () => answer, AbortController, later: () => 0, never: () => {},
    });
    await assert.rejects(transport([{ id: "1" }], { leaving: false, waiting: 1 }), /signed out|not stored/);
  });

  test(`a draft is not taken for kept (${how})`, async () => {
    const said = [];
    let call;
    const state = {
      classList: { toggle: (_, failed) => said.push(failed) }, append: () => {},
      set textContent(words) { said.push(words); },
    };
    globalThis.FormData = class { get() { return "token"; } set() {} delete() {} };
    globalThis.addEventListener = () => {};
    globalThis.document = { createElement: () => ({}) };
    globalThis.location = { href: "/visits/1/story/" };
    const form = {
      dataset: { draft: "story:1", draftUrl: "/drafts/keep/" },
      querySelector: (what) => (what === "[data-draft-state]" ? state : { value: "" }),
      addEventListener: (name, heard) => { if (name === "change") call = heard; },
    };
    const timers = [];
    keepDrafts(form, { send: async () => answer, wait: (soon) => timers.push(soon), drop: () => {} });
    call();
    timers.shift()();
    for (let turn = 0; turn < 5; turn += 1) await new Promise((done) => { setImmediate(done); });
    assert.ok(!said.some((each) => String(each).startsWith("Draft kept")), String(said));
    assert.equal(said.at(-1), true);
    delete globalThis.document;
  });

  test(`no token is taken from the page to sign in (${how})`, async () => {
    assert.equal(await freshToken(async () => answer, "/visits/1/"), "");
  });

  test(`the clock of a page takes it for the end (${how})`, async () => {
    assert.deepEqual(await readLeft(answer), { left: 0 });
  });
}
