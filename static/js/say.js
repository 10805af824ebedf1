// One sentence for everyone, seen and heard: what changed after a swap, what went wrong on the way.

const REST_AFTER = 8000;
let resting;

export function say(text) {
  const line = document.getElementById("said");
  if (!line || !text) return;
  clearTimeout(resting);
  line.textContent = "";
  requestAnimationFrame(() => {
    line.textContent = text;
  });
  resting = setTimeout(() => {
    line.textContent = "";
  }, REST_AFTER);
}

document.addEventListener("say", (event) => say(event.detail?.text ?? event.detail?.value));
