/** The controls around the stage: what is chosen, what can be pressed, what is said. */
import { paintSwatch } from "./texture.js";
import { SAVING, drawnSoFar, hintOf, notKept, whyUnsaved } from "./words.js";

/** How long a hint stays, ms: long enough to be read by somebody in pain. */
const HINT_STAYS = 7000;
/** The tools whose width is chosen. */
const WITH_A_NIB = ["shade", "erase"];

/** data: the page's JSON. Nothing of the record is read before refresh(). */
export function createControls(root, { data, record, preferences }) {
  const { all_kinds: kinds, body, layer, who } = data;
  const find = (name) => root.querySelector(`[data-${name}]`);
  const all = (name) => [...root.querySelectorAll(`[data-${name}]`)];
  const checked = (name) => root.querySelector(`input[name=${name}]:checked`)?.value ?? null;
  let hintTimer = null;

  function tools() {
    return { kind: checked("kind"), mode: checked("mode"), nib: checked("nib") };
  }

  /** As if its button had been pressed. */
  function chooseKind(id) {
    root.querySelector(`input[name=kind][value=${id}]`).checked = true;
    say("");
  }

  function paintSwatches() {
    for (const canvas of all("swatch")) {
      if (canvas.clientWidth > 0) paintSwatch(canvas, kinds.find((kind) => kind.id === canvas.dataset.swatch), window.devicePixelRatio);
    }
  }

  /** Bring every control in line with the record and the tools. */
  function refresh() {
    for (const button of all("undo")) button.disabled = !record.canUndo();
    for (const button of all("redo")) button.disabled = !record.canRedo();
    find("clear").disabled = !record.hasOwnInk();
    find("no-pain")?.setAttribute("aria-pressed", String(record.hasNoPain()));
    for (const fieldset of all("nibs")) fieldset.disabled = !WITH_A_NIB.includes(tools().mode);
  }

  /** ... with what the stage shows ... */
  function showLooking({ view, whole, sheet }) {
    root.toggleAttribute("data-closer", !whole);
    root.toggleAttribute("data-pair", sheet.pair);
    for (const button of all("turn")) button.setAttribute("aria-pressed", String(button.dataset.turn === view));
    find("turns").toggleAttribute("data-off", whole && sheet.pair);
    find("when-closer").toggleAttribute("data-off", whole);
    find("when-whole").toggleAttribute("data-off", !whole);
    find("farther").disabled = whole;
    keepFocus(whole ? find("closer-button") : find("whole"));
  }

  /** Who pressed a button that is gone now goes on from the one that undoes it. */
  function keepFocus(next) {
    const focused = document.activeElement;
    if (focused.closest("[data-off]") || focused.disabled) next.focus();
  }

  /** ... and with what is preferred. */
  function showPreferences() {
    const isLeft = preferences.isOther("hand");
    root.toggleAttribute("data-left-handed", isLeft);
    for (const button of all("prefers")) button.setAttribute("aria-pressed", String(preferences.isOther(button.dataset.prefers)));
  }

  /** What the board itself can say of what is drawn, before the server does. */
  function summary() {
    return drawnSoFar(record.strokes(), kinds, body);
  }

  function tell(text) {
    for (const place of all("summary")) place.textContent = text;
  }

  function hint(text) {
    clearTimeout(hintTimer);
    find("hint").textContent = text;
    hintTimer = setTimeout(() => { find("hint").textContent = ""; }, HINT_STAYS);
  }

  /** A hint by its word, or "" to take the last one away. */
  function say(word, detail = {}) {
    const kind = kinds.find((each) => each.id === detail.kind);
    hint(hintText(word, { label: kind?.label, words: detail.region?.words }));
    root.toggleAttribute("data-choose", word === "choose");
  }

  function hintText(word, detail = {}) {
    return hintOf(word === "choose" && layer === "clinician" ? "choose-finding" : word, detail);
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

  return {
    tools, chooseKind, chosen, paintSwatches, refresh, showLooking, showPreferences, summary, tell, say, hintText, showSaving, showRefused,
    find, all,
  };
}
