// What is done to a whole dome: water, vents, a treatment, a note.
import * as clock from "./clock.js";
import { about } from "./known.js";
import { button, field, make, say, why } from "./page.js";
import { told } from "./signs.js";
import { undo, write } from "./write.js";

const VENTS = [
  ["closed", 0],
  ["a third", 33],
  ["half", 50],
  ["two thirds", 67],
  ["open", 100],
];
const TWICE_MS = 2_000; // the same once more within this is a finger that was not sure
const last = { what: "", at: 0 };
const typed = { product: "", label: "", note: "" };

export function wholeDome(here) {
  const done = (kind, payload, said) => {
    const what = JSON.stringify([here.id, kind, payload]);
    if (what === last.what && performance.now() - last.at < TWICE_MS) return say(`${here.name}: written down already.`);
    Object.assign(last, { what, at: performance.now() });
    return write([{ kind, subjects: [`dome:${here.id}`], payload, local: { said: here.name } }], { said });
  };
  const today = about(`dome:${here.id}`).filter(
    ({ event }) => clock.day(new Date(event.happened_at)) === clock.day() && event.kind !== "grafted",
  );
  const input = (id, attributes = {}) =>
    make("input", {
      id: `dome-${id}`,
      value: typed[id],
      autocomplete: "off",
      oninput: ({ target }) => (typed[id] = target.value),
      ...attributes,
    });
  const treat = () => {
    if (!typed.product.trim()) return say("Name what it was treated with.");
    const payload = { product: typed.product.trim(), ...(typed.label.trim() ? { label_says: typed.label.trim() } : {}) };
    typed.product = typed.label = "";
    return done("treated", payload, "The treatment is written down.");
  };
  const noted = () => {
    const note = typed.note.trim();
    typed.note = "";
    return note ? done("observed", { note }, "The note is written down.") : say("Write the note first.");
  };
  return make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, "The whole dome"),
    button("Watered", () => done("watered", {}, `${here.name} watered.`), { id: "watered" }),
    make(
      "div",
      { role: "group", "aria-label": "Vents" },
      why("Vents now"),
      make(
        "div",
        { class: "row wrap" },
        VENTS.map(([words, share]) =>
          button(words, () => done("vented", { open_pct: share }, `Vents ${words}.`), { id: `vents-${share}` }),
        ),
      ),
    ),
    make(
      "details",
      {},
      make("summary", {}, "Treatment, note"),
      make(
        "div",
        { class: "stack" },
        field("Treated with", input("product", { maxlength: 80 })),
        field(
          "What its label says",
          input("label", { maxlength: 500 }),
          "The product's label is the law: dose, protection, when one may go in again.",
        ),
        button("Write the treatment down", treat, { id: "treat" }),
        field("Note", input("note", { maxlength: 2000 })),
        button("Write the note down", noted, { id: "noted" }),
      ),
    ),
    today.length
      ? make(
          "ul",
          { class: "lines" },
          today
            .slice(-5)
            .reverse()
            .map((entry) =>
              make(
                "li",
                { class: "row" },
                make("span", { class: "grow" }, `${clock.time(new Date(entry.event.happened_at))} ${told({ event: entry.event })}`),
                button("Undo", () => undo([entry]), {
                  class: "quiet",
                  "aria-label": `Undo: ${told({ event: entry.event })}`,
                  id: `undo-${entry.event.id}`,
                }),
              ),
            ),
        )
      : null,
  );
}
