// Buttons that tick many at once: <button name="ticks" value="all" data-ticks> (or "none", "clear") in a form of
// checkboxes; "clear" ticks those marked data-clear. Without this script the button asks the server to do it.

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-ticks]");
  if (!button || !button.form) return;
  event.preventDefault();
  for (const box of button.form.querySelectorAll("input[type=checkbox][name$='-take']")) {
    box.checked = button.value === "all" || (button.value === "clear" && "clear" in box.dataset);
  }
  for (const name of ["input", "change"]) button.form.dispatchEvent(new Event(name, { bubbles: true })); // kept, counted
});
