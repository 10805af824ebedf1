// The key Enter goes on to the next cell, and after the last one to where rows are added. Without scripts Enter sends the form.

document.addEventListener("keydown", (event) => {
  const input = event.target;
  if (event.key !== "Enter" || event.isComposing || !input.closest?.("#card-rows") || input.tagName !== "INPUT") return;
  event.preventDefault();
  const all = [...document.querySelectorAll("#card-rows input")];
  const next = all[all.indexOf(input) + 1] ?? document.getElementById("more-rows");
  next.focus();
  next.select?.();
});
