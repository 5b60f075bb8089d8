// The ranked page and the atlas: one line is picked at a time. htmx brings the facts and the pattern; this marks the line.
document.body.addEventListener("htmx:afterSwap", (event) => {
  const slot = event.detail.target;
  // Going back in the browser's history swaps the page without naming a target.
  if (!slot?.classList.contains("slot")) return;
  for (const other of document.querySelectorAll(".candidates .slot")) {
    const line = other.closest("li");
    line.classList.toggle("picked", other === slot);
    if (other === slot) line.querySelector(".line").setAttribute("aria-current", "true");
    else {
      other.replaceChildren();
      line.querySelector(".line").removeAttribute("aria-current");
    }
  }
});
