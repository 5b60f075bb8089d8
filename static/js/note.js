// The note while it is written: a changed sentence is shown as it is typed; a text block goes in by one tap.

/** The words after those typed already, on a line of their own. */
export function joined(typed, words) {
  const before = typed.trimEnd();
  return before ? `${before}\n${words}` : words;
}

function put(button) {
  const field = document.getElementById(button.dataset.put);
  field.value = joined(field.value, button.dataset.words);
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.focus();
  field.scrollTop = field.scrollHeight;
}

function show(sentence) {
  sentence.querySelector("[data-shown]").textContent = sentence.querySelector("[data-words]").value;
  sentence.classList.toggle("is-out", sentence.querySelector("[data-out]").checked);
}

if (typeof document !== "undefined") {
  for (const button of document.querySelectorAll("[data-put]")) {
    button.addEventListener("click", (event) => {
      event.preventDefault();
      put(button);
    });
  }
  for (const sentence of document.querySelectorAll("[data-sentence]")) {
    sentence.addEventListener("input", () => show(sentence));
  }
}
