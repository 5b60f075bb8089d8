// The examining hand: one muscle at a time, every tap saved by itself. What can't be sent stays in its form and is
// tried again; leaving is warned about. Without this script every form has its own buttons.
import { freshToken } from "./autosave.js";
import { WORDS, createSender } from "./muscles_sending.js";

const QUIET_MS = 1200;
const BESIDE_MS = 500;

/** {"band": "yes"} of "band=yes spot=no" */
export function setsOf(text) {
  return Object.fromEntries(text.split(" ").map((each) => each.split("=")));
}

/** Moves a row to the side until `each` stands in its middle; the page itself stays where it is. */
function toMiddle(each) {
  const row = each.closest("ol");
  const [inner, outer] = [each.getBoundingClientRect(), row.getBoundingClientRect()];
  row.scrollLeft += inner.left - outer.left - (row.clientWidth - inner.width) / 2;
}

function begin(hands) {
  const panels = [...hands.querySelectorAll("form.panel")];
  const inDoubt = new WeakMap();
  let besideTimer = null;
  const panelOf = (id) => panels.find((each) => each.dataset.line === id);
  const current = () => panels.find((each) => !each.hidden);

  function say(words, failed = false) {
    for (const each of hands.querySelectorAll("[data-saving]")) {
      const place = `${panels.indexOf(each.closest("form")) + 1} of ${panels.length}`;
      each.textContent = `${place} · ${words}`;
      each.classList.toggle("failed", failed);
    }
  }

  function replace(pieces) {
    for (const [id, html] of Object.entries(pieces)) {
      const old = document.getElementById(id);
      if (!old) continue;
      const holder = document.createElement("template");
      holder.innerHTML = html.trim();
      old.replaceWith(holder.content);
    }
    mark(current());
  }

  function mark(panel) {
    for (const each of hands.querySelectorAll("[data-go]")) {
      const here = each.dataset.go === panel.dataset.line;
      each.toggleAttribute("aria-current", here);
      if (here) each.setAttribute("aria-current", "true");
      each.closest(".lines li")?.classList.toggle("now", here);
      if (here && each.closest(".strip")) toMiddle(each);
    }
  }

  function show(panel) {
    for (const each of panels) {
      each.hidden = each !== panel;
      hands.querySelector(`[data-of="${each.dataset.line}"]`).hidden = each !== panel;
    }
    mark(panel);
    history.replaceState(null, "", `?muscle=${panel.dataset.line}#hand`);
    panel.querySelector("h2").focus({ preventScroll: true });
    atTop();
  }

  /** The hand begins right below the strip that says whose chart this is, however many lines that has. */
  function atTop() {
    const strip = document.querySelector(".patient");
    document.documentElement.style.scrollPaddingTop = `${(strip?.offsetHeight ?? 0) + 4}px`;
    hands.scrollIntoView({ block: "start" });
  }

  async function post(form, body, address = form.action) {
    const answer = await fetch(address, {
      method: "POST", body, credentials: "same-origin",
      headers: { Accept: "application/json", "X-CSRFToken": body.get("csrfmiddlewaretoken") },
    });
    return { answer, said: await answer.json().catch(() => null) };
  }

  async function send(form, isAgain = false) {
    const body = new FormData(form);
    inDoubt.set(form, inDoubt.get(form) ?? body);
    const { answer, said } = await post(form, body);
    if (answer.status >= 500) throw new Error("not saved");
    if (said === null) {
      if (isAgain) return { status: answer.status, said: {} };
      const token = await freshToken(fetch, location.href);
      if (!token) throw Object.assign(new Error("signed out"), { words: WORDS.signedOut });
      for (const each of document.querySelectorAll("[name=csrfmiddlewaretoken]")) each.value = token;
      return send(form, true);
    }
    return { status: answer.status, said };
  }

  function tell(form, status, said) {
    if (status === 409) return clash(form, said);
    inDoubt.delete(form);
    if (!("saved" in said)) {
      say(WORDS.refused, true);
      return "stays";
    }
    form.elements.version.value = said.saved;
    form.querySelector("[data-clash]").replaceChildren();
    form.querySelector("[data-mean]").textContent = said.mean;
    const wrong = Object.entries(said.wrong);
    showWrong(form, wrong);
    replace(said.pieces);
    if (!sender.count) say(wrong.length ? WORDS.wrong : WORDS.saved, wrong.length > 0);
    if (besideTimer) clearTimeout(besideTimer);
    besideTimer = setTimeout(renew, BESIDE_MS);
    return "saved";
  }

  function showWrong(form, wrong) {
    const names = wrong.map(([name]) => name);
    for (const each of form.querySelectorAll("input[type=text], select")) {
      each.toggleAttribute("aria-invalid", names.includes(each.name));
      if (names.includes(each.name)) each.setAttribute("aria-invalid", "true");
    }
    form.querySelector("[data-wrong]").replaceChildren(...wrong.map(([, words]) =>
      Object.assign(document.createElement("p"), { className: "error", textContent: words })));
    if (wrong.length) form.querySelector("details.more").open = true;
  }

  /** An answer that got lost on its way back looks like somebody else's save: it is ours when it holds what was sent. */
  function clash(form, said) {
    const sent = inDoubt.get(form);
    inDoubt.delete(form);
    if (sent && holds(said.now, sent)) {
      form.elements.version.value = said.version;
      return "again";
    }
    const box = form.querySelector("[data-clash]");
    box.innerHTML = said.clash;
    say(WORDS.clash, true);
    box.querySelector("[data-keep=mine]").addEventListener("click", () => {
      form.elements.version.value = said.version;
      box.replaceChildren();
      sender.changed(form);
    });
    box.querySelector("[data-keep=theirs]").addEventListener("click", () => {
      form.elements.version.value = said.version;
      fill(form, said.now);
      box.replaceChildren();
      sender.changed(form);
    });
    box.firstElementChild.focus();
    return "stays";
  }

  function holds(now, sent) {
    return Object.entries(now).every(([name, value]) => (sent.get(name) ?? "") === value || !sent.has(name) && value === "");
  }

  function fill(form, values) {
    for (const [name, value] of Object.entries(values)) {
      for (const each of form.elements) {
        if (each.name !== name) continue;
        if (each.type === "radio") each.checked = each.value === value;
        else each.value = value;
      }
    }
    pressed(form);
  }

  /** Marks the result of one tap that the signs make just so, and the place on the figure. */
  function pressed(form) {
    const data = new FormData(form);
    for (const button of form.querySelectorAll("[data-sets]")) {
      const stands = Object.entries(setsOf(button.dataset.sets)).every(([name, value]) => data.get(name) === value);
      button.setAttribute("aria-pressed", String(stands));
    }
    const site = data.get("site");
    if (site === null) return;
    for (const each of hands.querySelectorAll(`[data-of="${form.dataset.line}"] [data-site]`)) {
      each.toggleAttribute("data-chosen", site === "" || each.dataset.site === site);
    }
  }

  /** A result of one tap sets its signs; tapped once more, it gives back what stood before. */
  function setSigns(button) {
    const form = button.form;
    const sets = setsOf(button.dataset.sets);
    const before = Object.fromEntries(Object.keys(sets).map((name) => [name, new FormData(form).get(name) ?? ""]));
    const isUndone = button.getAttribute("aria-pressed") === "true";
    fill(form, isUndone ? JSON.parse(button.dataset.before ?? "null") ?? Object.fromEntries(Object.keys(sets).map((name) => [name, ""])) : sets);
    if (!isUndone) button.dataset.before = JSON.stringify(before);
    sender.changed(form);
  }

  function walk(step) {
    const panel = panels[panels.indexOf(current()) + step];
    if (panel) show(panel);
  }

  async function renew() {
    const answer = await fetch(hands.dataset.beside, { headers: { "HX-Request": "true" } }).catch(() => null);
    if (!answer?.ok || answer.redirected) return;
    const holder = document.createElement("template");
    holder.innerHTML = await answer.text();
    for (const piece of [...holder.content.children]) document.getElementById(piece.id)?.replaceWith(piece);
  }

  /** A form that changes the list: what waits is sent first, and the page is left only when the server has answered. */
  async function postAndGo(form, submitter) {
    const body = new FormData(form);
    if (submitter?.name) body.set(submitter.name, submitter.value);
    if (!(await sender.flush())) return say(WORDS.stays, true);
    try {
      const { said } = await post(form, body);
      const to = new URL(said.next, location.href);
      const isHere = to.pathname === location.pathname && to.search === location.search;
      location.assign(to);
      if (isHere) location.reload();
    } catch {
      say(WORDS.stays, true);
    }
  }

  const sender = createSender({ send, tell, say });
  let was = null;
  hands.addEventListener("pointerdown", (event) => {
    const radio = event.target.closest("label")?.querySelector("input[type=radio]");
    was = radio?.checked ? radio : null;
  });
  hands.addEventListener("click", (event) => {
    const radio = event.target.closest("input[type=radio]");
    if (radio && radio === was && radio.name !== "site") {
      was = null;
      open(radio);
    }
    const link = event.target.closest("a[data-go]");
    if (link && !event.ctrlKey && !event.metaKey && panelOf(link.dataset.go)) {
      event.preventDefault();
      show(panelOf(link.dataset.go));
    }
  });
  hands.addEventListener("keydown", (event) => {
    const isBack = event.key === "Delete" || event.key === "Backspace";
    if (isBack && event.target.type === "radio" && event.target.name !== "site") {
      event.preventDefault();
      open(event.target);
    }
  });

  function open(radio) {
    const chosen = [...radio.form.elements].find((each) => each.name === radio.name && each.checked);
    if (!chosen) return;
    chosen.checked = false;
    pressed(chosen.form);
    sender.changed(chosen.form);
  }

  hands.addEventListener("change", (event) => {
    const form = event.target.form;
    if (!panels.includes(form)) return;
    pressed(form);
    sender.changed(form);
  });
  hands.addEventListener("input", (event) => {
    if (panels.includes(event.target.form) && event.target.type === "text") sender.changed(event.target.form, QUIET_MS);
  });
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (panels.includes(form)) {
      event.preventDefault();
      if (event.submitter?.name === "set") return setSigns(event.submitter);
      if (event.submitter?.name === "go") return walk(event.submitter.value === "next" ? 1 : -1);
      return sender.changed(form);
    }
    if (form.matches("[data-post]")) {
      event.preventDefault();
      postAndGo(form, event.submitter);
    }
  });
  document.addEventListener("click", async (event) => {
    const link = event.target.closest("a[href]");
    const isPlain = link && !link.dataset.go && !link.target && !link.getAttribute("href").startsWith("#");
    if (!isPlain || !sender.isBusy || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    if (await sender.flush()) location.assign(link.href);
    else say(WORDS.stays, true);
  });
  addEventListener("beforeunload", (event) => { if (sender.isBusy) event.preventDefault(); });
  addEventListener("online", () => sender.flush());
  say("every tap is saved");
  mark(current());
  const step = document.querySelector(".steps [aria-current]");
  if (step) toMiddle(step);
  if (location.hash === "#hand") atTop();
}

const hands = globalThis.document?.querySelector("[data-hands]");
if (hands) begin(hands);
