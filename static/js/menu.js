// An open menu closes by Escape, by a touch beside it, or when focus leaves it.

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const menu of document.querySelectorAll("details[data-menu][open]")) {
    menu.open = false;
    menu.querySelector("summary")?.focus();
  }
});

function closeOthers(target) {
  for (const menu of document.querySelectorAll("details[data-menu][open]")) {
    if (!menu.contains(target)) menu.open = false;
  }
}
document.addEventListener("pointerdown", (event) => closeOthers(event.target));
document.addEventListener("focusin", (event) => closeOthers(event.target));

// The paper of every page is asked for by [data-print].
document.addEventListener("click", (event) => {
  if (event.target.closest?.("[data-print]")) window.print();
});
