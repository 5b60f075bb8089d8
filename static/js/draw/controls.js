/** The controls around the stage: what is chosen, what can be pressed, what is said. */
import { paintSwatch } from "./texture.js";
import { SAVING, drawnSoFar, hintOf, notKept, whyUnsaved } from "./words.js";

/** How long a hint stays, ms: long enough to be read by somebody in pain. */
const HINT_STAYS = 7000;
/** Made once: making one costs more than a frame has. */
const CLOCK = new Intl.DateTimeFormat([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
/** The tools whose width is chosen. */
const WITH_A_NIB = ["shade", "erase"];

/** data: the page's JSON. Nothing of the record is read before refresh(). */
export function createControls(root, { data, record, preferences }) {
  const { all_kinds: kinds, body, layer, who, words: own = {} } = data;
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
    for (const button of all("undo")) enable(button, record.canUndo());
    for (const button of all("redo")) enable(button, record.canRedo());
    enable(find("clear"), record.hasOwnInk());
    enable(find("nibs"), WITH_A_NIB.includes(tools().mode));
    const noPain = find("no-pain");
    const pressed = String(record.hasNoPain());
    if (noPain && noPain.getAttribute("aria-pressed") !== pressed) noPain.setAttribute("aria-pressed", pressed);
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
    return drawnSoFar(record.strokes(), kinds, body, own["spot-marked"]);
  }

  function tell(text) {
    for (const place of all("summary")) write(place, text);
  }

  function hint(text) {
    clearTimeout(hintTimer);
    write(find("hint"), text);
    if (text) hintTimer = setTimeout(() => write(find("hint"), ""), HINT_STAYS);
  }

  /** A hint by its word, or "" to take the last one away. */
  function say(word, detail = {}) {
    const kind = kinds.find((each) => each.id === detail.kind);
    hint(hintText(word, { label: kind?.label, words: detail.region?.words }));
    root.toggleAttribute("data-choose", word === "choose");
  }

  function hintText(word, detail = {}) {
    if (own[word]) return own[word];
    return hintOf(word === "choose" && layer === "clinician" ? "choose-finding" : word, detail);
  }

  function chosen(event) {
    if (event.target.name === "kind") say("");
    refresh();
  }

  function showSaving({ state, at, why }) {
    const unsaved = state === "unsaved" || state === "kept";
    if (find("saving").dataset.saving !== state) find("saving").dataset.saving = state;
    write(find("saving-words"), SAVING[state](at && CLOCK.format(at)));
    write(find("why"), unsaved ? whyUnsaved(why, who) : "");
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

/** Only what is new: written again, the same words would be laid out, and read out, again. */
function write(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

function enable(control, may) {
  if (control.disabled === may) control.disabled = !may;
}
