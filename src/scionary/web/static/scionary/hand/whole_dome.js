// What is done to a whole dome: water, vents, a treatment, a note.
import * as clock from "./clock.js";
import { about } from "./known.js";
import { button, field, make, tell, why } from "./page.js";
import { say } from "./say.js";
import { told } from "./signs.js";
import { undo, write } from "./write.js";

const VENTS = [
  [say("closed"), 0],
  [say("a third"), 33],
  [say("half"), 50],
  [say("two thirds"), 67],
  [say("open"), 100],
];
const TWICE_MS = 2_000; // the same once more within this is a finger that was not sure
const last = { what: "", at: 0 };
const typed = { product: "", label: "", note: "" };

export function wholeDome(here) {
  const done = (kind, payload, said) => {
    const what = JSON.stringify([here.id, kind, payload]);
    if (what === last.what && performance.now() - last.at < TWICE_MS) return tell(say("{dome}: written down already.", { dome: here.name }));
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
    if (!typed.product.trim()) return tell(say("Name what it was treated with."));
    const payload = { product: typed.product.trim(), ...(typed.label.trim() ? { label_says: typed.label.trim() } : {}) };
    typed.product = typed.label = "";
    return done("treated", payload, say("The treatment is written down."));
  };
  const noted = () => {
    const note = typed.note.trim();
    typed.note = "";
    return note ? done("observed", { note }, say("The note is written down.")) : tell(say("Write the note first."));
  };
  return make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, say("The whole dome")),
    button(say("Watered"), () => done("watered", {}, say("{dome} watered.", { dome: here.name })), { id: "watered" }),
    make(
      "div",
      { role: "group", "aria-label": say("Vents") },
      why(say("Vents now")),
      make(
        "div",
        { class: "row wrap" },
        VENTS.map(([words, share]) =>
          button(words, () => done("vented", { open_pct: share }, say("Vents {how}.", { how: words })), { id: `vents-${share}` }),
        ),
      ),
    ),
    make(
      "details",
      {},
      make("summary", {}, say("Treatment, note")),
      make(
        "div",
        { class: "stack" },
        field(say("Treated with"), input("product", { maxlength: 80 })),
        field(
          say("What its label says"),
          input("label", { maxlength: 500 }),
          say("The product's label is the law: dose, protection, when one may go in again."),
        ),
        button(say("Write the treatment down"), treat, { id: "treat" }),
        field(say("Note"), input("note", { maxlength: 2000 })),
        button(say("Write the note down"), noted, { id: "noted" }),
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
                button(say("Undo"), () => undo([entry]), {
                  class: "quiet",
                  "aria-label": say("Undo: {what}", { what: told({ event: entry.event }) }),
                  id: `undo-${entry.event.id}`,
                }),
              ),
            ),
        )
      : null,
  );
}
