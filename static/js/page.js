// What every page does: move the focus to what is wrong, and keep half-typed forms on the server.
import { keepDrafts } from "./autosave.js";

document.querySelector("[data-focus]")?.focus();
for (const form of document.querySelectorAll("form[data-draft]")) keepDrafts(form);
