// The yard: how many sticks each mother tree may still give, and a bag of scions with the clock of its freshness.
import * as clock from "./clock.js";
import { uuid7 } from "./ids.js";
import { cultivar, known, ofKind, tree } from "./known.js";
import { button, choice, field, flag, go, grouped, link, make, show, tell, why } from "./page.js";
import { say, several } from "./say.js";
import { undo, write } from "./write.js";

const CARE = [
  ["", say("not said")],
  ["stalks_left", say("blades off, stalks left")],
  ["half_blades", say("half of each blade off")],
  ["whole_leaves", say("leaves left whole")],
  ["dormant", say("dormant, no leaves")],
];
const form = { sticks: 12, care: "", stands: "" };

const cutHere = (id) => ofKind("scions_cut").filter(({ event }) => event.subjects.includes(`tree:${id}`));

// The book's count less what was cut here since its last word.
function left(found) {
  if (found.sticks_left === null || found.sticks_left === undefined) return null;
  const since = cutHere(found.id).filter(
    (entry) => (entry.n !== undefined && !entry.answered_at) || Date.parse(entry.answered_at) > Date.parse(known.snapshot.server_now),
  );
  return found.sticks_left - since.reduce((sum, { event }) => sum + event.payload.sticks, 0);
}

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
  const cut = ofKind("scions_cut");
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

function hours(entry) {
  const minutes = Math.max(0, Math.round((clock.now() - Date.parse(entry.event.happened_at)) / 60_000));
  return minutes < 60
    ? several(minutes, "{count} minute ago", "{count} minutes ago")
    : minutes < 2880
      ? several(Math.floor(minutes / 60), "{count} hour ago", "{count} hours ago")
      : several(Math.floor(minutes / 1440), "{count} day ago", "{count} days ago");
}

const sticksWords = (count) => several(count, "{count} stick", "{count} sticks");

const bagLine = (entry) =>
  make(
    "li",
    {},
    make("span", { class: "said" }, entry.local.name),
    make(
      "span",
      { class: "why" },
      say("{sticks}, cut {ago}", { sticks: sticksWords(entry.event.payload.sticks), ago: hours(entry) }),
      entry.local.code ? ` · ${grouped(entry.local.code)}` : "",
    ),
  );

export function atTree(id) {
  const found = tree(id);
  if (!found) return go("#/yard");
  const spoken = cultivar(found.cultivar)?.spoken ?? say("scions");
  const last = cutHere(id).at(-1);
  const count = make("input", {
    id: "sticks",
    type: "number",
    min: 1,
    max: 10000,
    inputmode: "numeric",
    value: form.sticks,
    oninput: ({ target }) => setCount(Number(target.value)),
  });
  return show(
    say("Cut scions"),
    make(
      "section",
      { class: "sheet wide" },
      make("p", { class: "say" }, found.name),
      why(`${spoken} · ${leftWords(found)}`),
      found.caution ? flag(found.caution) : null,
    ),
    button(cutWords(), () => cut(found, spoken), { id: "cut", class: "main huge wide" }),
    last ? bagLabel(last, spoken, found) : null,
    make(
      "section",
      { class: "sheet wide" },
      make(
        "div",
        { class: "row" },
        button("−", () => stepTo(form.sticks - 1), { "aria-label": say("One stick fewer"), id: "fewer" }),
        make("div", { class: "grow" }, field(say("Sticks"), count)),
        button("+", () => stepTo(form.sticks + 1), { "aria-label": say("One stick more"), id: "more" }),
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
    ),
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

const cutWords = () => several(form.sticks, "Cut {count} stick", "Cut {count} sticks");

function setCount(value) {
  if (value >= 1 && value <= 10_000) form.sticks = Math.round(value);
  document.getElementById("cut").textContent = cutWords();
}

function stepTo(value) {
  setCount(value);
  document.getElementById("sticks").value = form.sticks;
  tell(cutWords());
}

function bagLabel(entry, spoken, found) {
  const at = new Date(entry.event.happened_at);
  const { sticks, care } = entry.event.payload;
  return make(
    "section",
    { class: "sheet wide label-made" },
    why(say("Write on the bag")),
    make("p", { class: "spoken" }, `${spoken}, ${sticksWords(sticks)}`),
    make("p", { class: "spoken code" }, entry.local.code ? grouped(entry.local.code) : say("code pending")),
    make("p", {}, `${clock.date(at)}, ${clock.time(at)} · ${found.name}`),
    care ? why(CARE.find(([value]) => value === care)?.[1] ?? "") : null,
    button(
      say("Undo these {count}", { count: sticks }),
      () => undo([entry], say("Undone. Throw the bag's label away: its code is not used again.")),
      { id: "undo" },
    ),
  );
}

async function cut(found, spoken) {
  const bag = uuid7(clock.now());
  const payload = { sticks: form.sticks };
  if (form.care) payload.care = form.care;
  if (form.stands.trim()) payload.stands = form.stands.trim();
  const name = `${spoken}, ${clock.date()} ${clock.time()}`;
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
      said: several(form.sticks, "{count} stick of {name} are written down.", "{count} sticks of {name} are written down.", { name: spoken }),
    },
  );
}
