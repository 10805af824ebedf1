// The tablet chooses the entry's id before it is sent, so that the same entry sent twice is stored once.

function uuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // Over plain http on a shop's own network randomUUID is not offered; random values are.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

export function fillEntryIds(root) {
  for (const input of root.querySelectorAll("input[data-entry-id]")) {
    if (!input.value) input.value = uuid();
  }
}

fillEntryIds(document);
document.addEventListener("htmx:load", (event) => fillEntryIds(event.detail.elt));
