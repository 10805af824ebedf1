// Drafts of forms on this device: the names they are kept under, and when they were typed.

export const PREFIX = "garboard:draft:";

// By the shop's clock: a tablet may be set to another.
export function typedAt(draft) {
  return new Date(draft.at).toLocaleString("en-US", { timeZone: draft.zone, weekday: "short", hour: "numeric", minute: "2-digit" });
}
