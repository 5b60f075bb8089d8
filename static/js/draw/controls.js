/** The controls around the stage: what is chosen, what can be pressed, what is said. */
import { paintSwatch } from "./texture.js";
import { strengthRow } from "./strength.js";
import { HINTS, SAVING, drawnSoFar, howStrong, notKept, strengthMark, whyUnsaved } from "./words.js";

/** How long a hint stays, ms: long enough to be read by somebody in pain. */
const HINT_STAYS = 7000;

export function createControls(root, { kinds, record, who }) {
  const find = (name) => root.querySelector(`[data-${name}]`);
  const all = (name) => [...root.querySelectorAll(`[data-${name}]`)];
  const checked = (name) => root.querySelector(`input[name=${name}]:checked`)?.value ?? null;
  let hintTimer = null;
  let shownKind = null;

  function tools() {
    return { kind: checked("kind"), mode: checked("mode"), nib: checked("nib") };
  }

  function paintSwatches() {
    for (const canvas of all("swatch")) {
      paintSwatch(canvas, kinds.find((kind) => kind.id === canvas.dataset.swatch), window.devicePixelRatio);
    }
  }

  /** Bring every control in line with the record and the tools. */
  function refresh() {
    find("undo").disabled = !record.canUndo();
    find("redo").disabled = !record.canRedo();
    find("clear").disabled = !record.hasOwnInk();
    find("no-pain").setAttribute("aria-pressed", String(record.hasNoPain()));
    for (const fieldset of all("nibs")) fieldset.disabled = tools().mode === "area";
    for (const mark of all("strength-mark")) showMark(mark);
    showStrength();
    find("summary").textContent = summary();
  }

  /** ... and with what the stage shows. */
  function showLooking({ view, whole, sheet }) {
    root.toggleAttribute("data-closer", !whole);
    for (const button of all("turn")) {
      button.setAttribute("aria-pressed", String(button.dataset.turn === view));
      button.closest("[data-turns]").toggleAttribute("data-spare", whole && sheet.pair);
    }
    for (const button of [...all("step"), find("whole"), find("farther")]) button.disabled = whole;
  }

  function showMark(mark) {
    const used = record.kindsUsed().includes(mark.dataset.strengthMark);
    mark.textContent = used ? strengthMark(record.strengthOf(mark.dataset.strengthMark)) : "";
  }

  /** The strength of the kind in use, once it has been drawn. */
  function showStrength() {
    const kind = record.kindsUsed().includes(tools().kind) ? tools().kind : null;
    if (kind === shownKind) return;
    shownKind = kind;
    const host = find("strength");
    host.replaceChildren();
    find("strength-later").hidden = kind !== null;
    if (kind) addStrength(host, kind, "now");
  }

  function addStrength(host, id, name) {
    const kind = kinds.find((each) => each.id === id);
    const pick = (number) => {
      record.setStrength(id, number);
      shownKind = name === "now" ? shownKind : null;
      refresh();
    };
    const legend = name === "now" ? howStrong(kind.label) : kind.label;
    strengthRow(host, find("strength-row"), { legend, kind, chosen: record.strengthOf(id), pick, name });
  }

  function summary() {
    const parts = [];
    for (const kind of kinds) {
      for (const view of ["front", "back"]) {
        const count = record.strokes().filter((stroke) => stroke.kind === kind.id && stroke.view === view).length;
        if (count > 0) parts.push({ label: kind.label, view, count });
      }
    }
    return drawnSoFar(parts);
  }

  function hint(text) {
    clearTimeout(hintTimer);
    find("hint").textContent = text;
    hintTimer = setTimeout(() => { find("hint").textContent = ""; }, HINT_STAYS);
  }

  /** A hint by its word, or "" to take the last one away. */
  function say(word) {
    hint(HINTS[word] ?? "");
    root.toggleAttribute("data-choose", word === "choose");
  }

  function chosen(event) {
    if (event.target.name === "kind") say("");
    refresh();
  }

  function showSaving({ state, at, why }) {
    const time = at?.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
    const unsaved = state === "unsaved";
    find("saving").dataset.saving = state;
    find("saving-words").textContent = SAVING[state](time);
    find("why").textContent = unsaved ? whyUnsaved(why, who) : "";
    for (const button of all("retry")) button.hidden = !unsaved;
  }

  function showRefused(refusals) {
    find("refused-words").textContent = notKept(refusals.map(({ why }) => why));
    find("refused").hidden = false;
  }

  return { tools, chosen, paintSwatches, refresh, showLooking, addStrength, say, showSaving, showRefused, find, all };
}
