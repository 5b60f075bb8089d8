// The figure of the atlas: a tap asks what is felt at that point. The form it fills in does the rest with htmx.
import { pointOn } from "./atlas_point.js";

// On the document: Back in the browser's history puts a new figure in the place of the old one.
document.addEventListener("click", (event) => {
  const view = event.target.closest("[data-tap] svg[data-view]");
  const form = document.getElementById("tap");
  if (!view || !form) return;
  const { x, y } = pointOn(view.getScreenCTM(), event.clientX, event.clientY);
  form.elements.view.value = view.dataset.view;
  form.elements.x.value = x;
  form.elements.y.value = y;
  document.getElementById("find").value = "";
  document.getElementById("region").value = "";
  form.requestSubmit();
});
