// What can be seen on a plant: the button's words, a short word for the tray, its key, and the record that it writes.
export const SIGNS = [
  { said: "firm", words: "Firm", short: "firm", key: "f", outcome: true, kind: "scored", payload: { sign: "firm", answer: "yes" } },
  { said: "unsure", words: "Not sure", short: "unsure", key: "n", outcome: true, kind: "scored", payload: { sign: "firm", answer: "unsure" } },
  { said: "lost", words: "Lost", short: "lost", key: "x", outcome: true, kind: "lost", payload: {} },
  { said: "drops", words: "Stalk drops", short: "drops", key: "d", leafy: true, kind: "scored", payload: { sign: "stalk_drops", answer: "yes" } },
  { said: "stays", words: "Stalk stays", short: "stays", key: "s", leafy: true, kind: "scored", payload: { sign: "stalk_drops", answer: "no" } },
  { said: "bud", words: "Bud moving", short: "bud", key: "b", kind: "scored", payload: { sign: "bud_moving", answer: "yes" } },
  { said: "in-leaf", words: "In leaf", short: "leaf", key: "l", kind: "scored", payload: { sign: "in_leaf", answer: "yes" } },
  { said: "wilting", words: "Wilting", short: "wilts", key: "w", kind: "observed", payload: { seen: "wilting" } },
  { said: "mould", words: "Mould", short: "mould", key: "m", kind: "observed", payload: { seen: "mould" } },
  { said: "unchanged", words: "Unchanged", short: "same", key: "u", kind: "observed", payload: { seen: "unchanged" } },
];

export const signOf = ({ kind, payload }) =>
  SIGNS.find((sign) => sign.kind === kind && Object.entries(sign.payload).every(([name, value]) => payload[name] === value));

const PLAIN = {
  bench_set: "Bench set",
  watered: "Watered",
  vented: "Vents set",
  treated: "Treated",
  observed: "Looked at",
  scored: "Sign seen",
  corrected: "Undone or corrected",
  blade_cleaned: "Blade cleaned",
};

// One line on a record, for a person.
export function told({ event, local }) {
  const name = local?.said ? `${local.said}: ` : "";
  if (event.kind === "grafted") return `Grafted ${local?.said ?? "a plant"}`;
  if (event.kind === "scions_cut") return `Cut ${event.payload.sticks} sticks: ${local?.name ?? "a bag"}`;
  if (event.kind === "blade_cleaned") return `Blade ${event.payload.how}`;
  const sign = signOf(event);
  const note = event.payload.note ? `: ${event.payload.note}` : "";
  return `${name}${sign?.words ?? PLAIN[event.kind] ?? event.kind}${note}`;
}
