// Drafts of forms on this device: the names they are kept under, and when they were typed.

export const PREFIX = "garboard:draft:";

// By the shop's clock: a tablet may be set to another.
export function typedAt(draft) {
  return new Date(draft.at).toLocaleString("en-US", { timeZone: draft.zone, weekday: "short", hour: "numeric", minute: "2-digit" });
}

// What became of a draft when it was sent. Where no answer was seen, it may be entered; the same words are entered once.
export function outcome(draft) {
  if (draft.refused) return "It was sent and refused: nothing of it is entered.";
  if (draft.wasSent) return "It was sent, and no answer was seen here. The same words sent again are entered only once.";
  return "It has not been sent yet.";
}
