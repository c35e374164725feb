// The yard: how many sticks each mother tree may still give, and a bag of scions with the clock of its freshness.
import { CARE, bagLabel, bagLine, earlier } from "./bag.js";
import * as clock from "./clock.js";
import { uuid7 } from "./ids.js";
import { cultivar, cuts, known, tree, undone } from "./known.js";
import { morning, verdict } from "./morning.js";
import { button, changed, choice, field, flag, go, link, make, show, tell, why } from "./page.js";
import { say, several } from "./say.js";
import { write } from "./write.js";

const DOUBLE_TAP_MS = 350;
const USUAL = 12;
const form = { sticks: USUAL, tree: "", care: "", stands: "" }; // sticks that were chosen at this tree
let tappedAt = -DOUBLE_TAP_MS;
let asked = ""; // what was asked about and is written at the next tap
let writing = false; // a cut is being kept
let fresh = ""; // the cut that was just written: its bag stands where the button stood, so that a tap more there writes nothing

const cutHere = (id) => cuts().filter(({ event }) => event.subjects.includes(`tree:${id}`));

const sticksOf = (entries) => entries.reduce((sum, { event }) => sum + event.payload.sticks, 0);

// Whether the book's last word was said before it had this.
const isNews = ({ answered_at }) => !answered_at || Date.parse(answered_at) > Date.parse(known.snapshot.server_now);

// The book's count less what was cut here since its last word, and with what was undone here since.
function left(found) {
  if (found.sticks_left === null || found.sticks_left === undefined) return null;
  const back = undone("scions_cut", isNews).filter((entry) => entry.event.subjects.includes(`tree:${found.id}`) && !isNews(entry));
  return found.sticks_left - sticksOf(cutHere(found.id).filter(isNews)) + sticksOf(back);
}

// What is offered: what was chosen here, else the usual dozen, but no more than the tree may still give.
function offered(found) {
  if (form.tree === found.id) return form.sticks;
  const count = left(found);
  return count > 0 ? Math.min(USUAL, count) : USUAL;
}

const beyond = (found) => (left(found) === null ? 0 : Math.max(0, offered(found) - Math.max(0, left(found))));

const beyondWords = (found) =>
  several(
    beyond(found),
    "{count} stick more than it gives in a season. Tap again if it was cut all the same.",
    "{count} sticks more than it gives in a season. Tap again if they were cut all the same.",
  );

const leftWords = (found) => {
  const count = left(found);
  return count === null
    ? say("how many it can give is not known")
    : count > 0
      ? several(count, "{count} stick left this season", "{count} sticks left this season")
      : count < 0
        ? several(-count, "{count} stick more cut than it gives in a season", "{count} sticks more cut than it gives in a season")
        : say("no stick left this season");
};

export function yard() {
  const trees = known.snapshot.trees ?? [];
  const cut = cuts();
  fresh = "";
  return show(
    say("Yard"),
    cut.length
      ? make(
          "section",
          { class: "sheet wide" },
          make("h2", {}, say("Cut with this phone")),
          make("ul", { class: "lines" }, [...cut].reverse().slice(0, 8).map(bagLine)),
        )
      : null,
    make(
      "section",
      { class: "sheet wide" },
      make("p", { class: "say" }, trees.length ? say("Which tree do you stand at?") : say("The book knows no mother tree yet.")),
      make(
        "ul",
        { class: "lines" },
        trees.map((each) =>
          make(
            "li",
            {},
            link(
              [
                make(
                  "span",
                  { class: "grow" },
                  make("span", { class: "said" }, each.name),
                  make("br"),
                  make("span", { class: "why" }, `${cultivar(each.cultivar)?.spoken ?? ""} · ${leftWords(each)}`),
                ),
                verdict(each),
              ],
              `#/yard/${each.id}`,
              { class: "open" },
            ),
          ),
        ),
      ),
    ),
  );
}

export function atTree(id) {
  const found = tree(id);
  if (!found) return go("#/yard");
  const spoken = cultivar(found.cultivar)?.spoken ?? say("scions");
  const cut = cutHere(id);
  const last = cut.at(-1);
  const done = last?.event.id === fresh;
  const count = make("input", {
    id: "sticks",
    type: "number",
    min: 1,
    max: 10000,
    inputmode: "numeric",
    value: offered(found),
    oninput: ({ target }) => setCount(found, Number(target.value)),
  });
  return show(
    say("Cut scions"),
    make(
      "section",
      { class: "sheet wide" },
      make("p", { class: "say" }, found.name),
      why(`${spoken} · ${leftWords(found)}`),
      found.caution ? flag(found.caution) : null,
      morning(found),
    ),
    done ? null : button(cutWords(found), () => cutOnce(found, spoken), { id: "cut", class: "main huge wide" }),
    asked === wished(found) ? make("p", { class: "flag wide", id: "asked" }, beyondWords(found)) : null,
    last ? bagLabel(last, spoken, found) : null,
    done ? onward() : null,
    cut.length > 1 ? earlier(cut.slice(0, -1)) : null,
    done ? null : details(found, count),
    make(
      "details",
      { class: "caution wide" },
      make("summary", {}, say("Blade: cut away from hand and body")),
      why(
        say("A guard or a cut-resistant glove, a sharp blade. Stop when tired or cold. Clean it between trees, and let alcohol dry: it burns."),
      ),
    ),
  );
}

const onward = () =>
  make(
    "div",
    { class: "row wide" },
    button(say("Another bag from this tree"), another, { id: "another", class: "grow" }),
    link(say("Another tree"), "#/yard", { class: "button grow" }),
  );

function another() {
  tappedAt = performance.now();
  fresh = "";
  changed();
  document.getElementById("cut")?.focus();
}

const details = (found, count) =>
  make(
    "section",
    { class: "sheet wide" },
    make(
      "div",
      { class: "row" },
      button("−", () => stepTo(found, offered(found) - 1), { "aria-label": say("One stick fewer"), id: "fewer" }),
      make("div", { class: "grow" }, field(say("Sticks"), count)),
      button("+", () => stepTo(found, offered(found) + 1), { "aria-label": say("One stick more"), id: "more" }),
    ),
    field(
      say("The leaves"),
      choice(
        "care",
        CARE.map(([value, words]) => ({ value, words })),
        form.care,
        { onchange: ({ target }) => (form.care = target.value) },
      ),
    ),
    field(
      say("Where is it kept?"),
      make("input", {
        id: "stands",
        value: form.stands,
        maxlength: 120,
        autocomplete: "off",
        oninput: ({ target }) => (form.stands = target.value),
      }),
      say("Cool box, refrigerator, wet cloth."),
    ),
  );

const cutWords = (found) =>
  asked === wished(found)
    ? several(offered(found), "Cut {count} stick all the same", "Cut {count} sticks all the same")
    : several(offered(found), "Cut {count} stick", "Cut {count} sticks");

const wished = (found) => `${found.id} ${cutHere(found.id).length} ${offered(found)}`;

function setCount(found, value) {
  if (value >= 1 && value <= 10_000) Object.assign(form, { sticks: Math.round(value), tree: found.id });
  document.getElementById("cut").textContent = cutWords(found);
  document.getElementById("asked")?.remove();
}

function stepTo(found, value) {
  setCount(found, value);
  document.getElementById("sticks").value = offered(found);
  tell(cutWords(found));
}

// One tap cuts once, however the finger trembles; more than the tree gives is asked about first, and then written: it may have been cut.
function cutOnce(found, spoken) {
  if (writing || performance.now() - tappedAt < DOUBLE_TAP_MS) return undefined;
  tappedAt = performance.now();
  if (beyond(found) && asked !== wished(found)) {
    asked = wished(found);
    tell(beyondWords(found));
    return changed();
  }
  asked = "";
  return cut(found, spoken, offered(found));
}

async function cut(found, spoken, sticks) {
  const bag = uuid7(clock.now());
  const payload = { sticks };
  if (form.care) payload.care = form.care;
  if (form.stands.trim()) payload.stands = form.stands.trim();
  const name = `${spoken}, ${clock.date()} ${clock.time()}`;
  writing = true;
  await write(
    [
      {
        kind: "scions_cut",
        subjects: [`tree:${found.id}`, `bag:${bag}`],
        payload,
        code: true,
        local: { bag, name, cultivar: found.cultivar, tree: found.id },
      },
    ],
    {
      said: several(sticks, "{count} stick of {name} is written down.", "{count} sticks of {name} are written down.", { name: spoken }),
      then: ([entry]) => (fresh = entry.event.id),
    },
  ).finally(() => (writing = false));
}
