// The bench: set once, then one tap a graft. The next thing is always in the same place.
import { advise, adviceLine, adviceWhole } from "./advice.js";
import * as clock from "./clock.js";
import { find } from "./codes.js";
import { uuid7 } from "./ids.js";
import { settingWords, todaysBench } from "./bench_set.js";
import * as pace from "./pace.js";
import { about, bags, cultivar, dome, known, madeAt, nextNumber, ofKind } from "./known.js";
import { button, changed, field, flag, go, grouped, link, make, show, tell, why } from "./page.js";
import { standing } from "./round.js";
import { dayRow } from "./row.js";
import { around, say } from "./say.js";
import { canScan, scan } from "./scan.js";
import { bladeWords } from "./signs.js";
import { undo, write } from "./write.js";

const DOUBLE_TAP_MS = 350;
const [THINNEST_MM, THICKEST_MM] = [0.1, 500]; // what the book takes
const SETTING = ["cultivar", "method", "lot", "tree", "bag", "dome", "pot", "grafter"];
const typed = { count: "", code: "", stock: "", scion: "", cut: "", lean: "", words: "", printed: null };
// What is typed of a union, the field that the book keeps it under, and the millimetres that it takes.
const SIZES = [
  ["stock", "stock_mm", THINNEST_MM, THICKEST_MM],
  ["scion", "scion_mm", THINNEST_MM, THICKEST_MM],
  ["cut", "cut_mm", 1, 500],
  ["lean", "lean_mm", 0, 100],
];
let tappedAt = -DOUBLE_TAP_MS;

export function bench() {
  const here = todaysBench();
  if (!here) return go("#/bench/set");
  const made = madeAt(here);
  const last = made.at(-1);
  const name = cultivar(here.cultivar)?.spoken ?? say("graft");
  adviseOn(here);
  return show(
    say("Bench"),
    make(
      "section",
      { class: "sheet wide bench-set" },
      make(
        "div",
        { class: "row" },
        make("p", { class: "grow" }, make("span", { class: "said" }, name), make("span", { class: "why" }, ` ${settingWords(here)}`)),
        link(say("Change"), "#/bench/set", { class: "button quiet" }),
      ),
      cautions(here),
    ),
    nextButton(here, name),
    adviceLine(),
    last
      ? label(last, here)
      : make("section", { class: "sheet wide" }, why(say("One tap writes one graft down. What to write on its label then stands here."))),
    make(
      "div",
      { class: "row wrap wide beside" },
      last?.event ? button(say("Undo {name}", { name: last.said }), () => undoLast(last), { id: "undo", class: "grow" }) : null,
      button(say("Blade changed"), () => clean(here, "changed"), { id: "changed", class: "grow" }),
      button(say("Blade disinfected"), () => clean(here, "disinfected"), { id: "disinfected", class: "grow" }),
    ),
    today(here, made),
    more(here, name),
    bladeCaution(),
  );
}

const adviseOn = (here) => advise(here, millimetres(typed.stock), millimetres(typed.scion));

function nextButton(here, name) {
  const printed = typed.printed ? make("span", { class: "why-here" }, say("printed label {code}", { code: grouped(typed.printed.code) })) : null;
  return make(
    "button",
    { type: "button", id: "next", class: "main huge wide", onclick: () => graftOnce(here, name) },
    make("span", {}, around(say("Next graft: {name}"), { name: make("span", { class: "together" }, `${name} ${nextNumber(here.cultivar)}`) })),
    printed,
  );
}

function bladeCaution() {
  return make(
    "details",
    { class: "caution wide" },
    make("summary", {}, say("Blade: cut away from hand and body")),
    why(
      say("A guard or a cut-resistant glove, a sharp blade. Stop when tired or cold. Clean it between trees, and let alcohol dry: it burns."),
    ),
  );
}

function cautions(here) {
  const found = cultivar(here.cultivar);
  const wood = known.snapshot.trees?.find(({ id }) => id === here.tree);
  const bag = bags().find(({ id }) => id === here.bag);
  const lot = known.snapshot.lots?.find(({ id }) => id === here.lot);
  const gone = here.bag && !bag ? say("The bag that is set here is no bag of the book any more: grafts name none until you change it.") : "";
  return [gone, fullWords(dome(here.dome)), found?.protected, wood?.caution, bag?.caution, lot?.caution].filter(Boolean).map((words) => flag(words));
}

// What the book's bench says too: a full dome is told, and what is grafted into it is written down all the same.
function fullWords(place) {
  const places = (place?.pots ?? []).filter(({ x_mm }) => x_mm >= 0).length;
  const there = place ? standing(place).length : 0;
  if (!places || there < places) return "";
  return say("{dome}: its tray has {places} places for such pots, and {there} plants stand there. One more has no place on it.", {
    dome: place.name,
    places,
    there,
  });
}

function graftOnce(here, name) {
  if (performance.now() - tappedAt < DOUBLE_TAP_MS) return undefined;
  tappedAt = performance.now();
  return graft(here, name, 1);
}

async function graft(here, name, count) {
  const odd = SIZES.find(([name, , low, high]) => Number.isNaN(millimetres(typed[name], undefined, low, high)));
  if (odd) return tell(oddWords(odd[0]));
  const first = nextNumber(here.cultivar);
  const printed = typed.printed;
  typed.printed = null;
  typed.code = "";
  const list = Array.from({ length: count }, (_, i) => oneGraft(here, name, first + i, i === 0 ? printed : null));
  const said =
    count === 1
      ? say("{name} is written down.", { name: `${name} ${first}` })
      : say("{name} to {last} are written down.", { name: `${name} ${first}`, last: first + count - 1 });
  await write(list, { said });
}

function oddWords(name) {
  const text = typed[name];
  if (name === "cut") return say("“{text}” is no length of a cut: write 20, 18 mm or 3/4 in. Nothing is written down yet.", { text });
  if (name === "lean") return say("“{text}” is no lean: write 1.3 mm, or 0 where it stands straight. Nothing is written down yet.", { text });
  return say("“{text}” is no thickness: write 7, 6.5 mm or 1/4 in. Nothing is written down yet.", { text });
}

function oneGraft(here, name, number, printed) {
  const plant = uuid7(clock.now());
  const payload = { bench: here.id, running_number: number };
  for (const each of SETTING) if (here[each]) payload[each] = here[each];
  if (!bags().some(({ id }) => id === here.bag)) delete payload.bag;
  for (const [size, kept, low, high] of SIZES) {
    const mm = millimetres(typed[size], undefined, low, high);
    if (mm !== null) payload[kept] = mm;
  }
  return { kind: "grafted", subjects: [`plant:${plant}`], payload, code: printed ?? true, local: { plant, said: `${name} ${number}` } };
}

function label(last, here) {
  const into = dome(here.dome);
  return make(
    "section",
    { class: "sheet wide label-made" },
    why(say("Write on the label")),
    make("p", { class: "spoken" }, last.said),
    last.code
      ? make("p", { class: "spoken code" }, grouped(last.code))
      : why(say("No code is left on this phone: it is pending. The name and number do until the next signal.")),
    into ? why(into.name) : null,
  );
}

async function undoLast(last) {
  const entry = ofKind("grafted").find(({ event }) => event.id === last.event);
  if (entry) await undo([entry], say("{name} is undone. Throw its label away: its code is not used again.", { name: last.said }));
}

const clean = (here, how) =>
  write([{ kind: "blade_cleaned", subjects: [`bench:${here.id}`], payload: { how, ...(here.grafter ? { grafter: here.grafter } : {}) } }], {
    said: say("{blade}, {time}.", { blade: bladeWords(how), time: clock.time() }),
  });

function today(here, made) {
  const cleanings = about(`bench:${here.id}`).filter(({ event }) => event.kind === "blade_cleaned");
  const left = here.planned ? here.planned - made.length : null;
  if (!made.length && !cleanings.length && !(left > 0)) return null;
  const hourly = pace.anHour(made.map(({ at }) => at).filter(Boolean));
  const words = [
    made.length ? say("{count} made", { count: made.length }) : say("none made yet"),
    hourly ? say("about {count} an hour", { count: hourly }) : "",
    left > 0
      ? say("{left} of {planned} left of the plan", { left, planned: here.planned })
      : left !== null
        ? say("the plan's {planned} are made", { planned: here.planned })
        : "",
  ];
  return make(
    "section",
    { class: "sheet wide" },
    make("h2", {}, words.filter(Boolean).join(" · ")),
    dayRow(made, cleanings, left),
    hourly ? why(say("Pauses of more than 20 minutes are left out.")) : null,
    cleanings.length
      ? make(
          "p",
          { class: "row" },
          make(
            "span",
            { class: "grow why" },
            `${bladeWords(cleanings.at(-1).event.payload.how)}, ${clock.time(new Date(cleanings.at(-1).event.happened_at))}`,
          ),
          button(say("Undo"), () => undo([cleanings.at(-1)]), {
            class: "quiet",
            "aria-label": say("Undo: blade cleaned"),
            id: "undo-blade",
          }),
        )
      : null,
    made.length > 1
      ? make(
          "details",
          {},
          make("summary", {}, say("Names and codes")),
          make(
            "ul",
            { class: "lines" },
            [...made]
              .reverse()
              .slice(0, 40)
              .map((each) =>
                make(
                  "li",
                  { class: "row" },
                  make("span", { class: "grow said" }, each.said),
                  make("span", { class: "code" }, each.code ? grouped(each.code) : say("code pending")),
                ),
              ),
          ),
        )
      : null,
  );
}

function more(here, name) {
  const camera = make("div", { class: "stack" });
  const unit = known.snapshot.nursery?.length_unit === "in" ? "in" : "mm";
  const input = (id, attributes = {}) =>
    make("input", { id, value: typed[id], oninput: ({ target }) => (typed[id] = target.value), autocomplete: "off", ...attributes });
  const alike = input("count", { type: "number", min: 2, max: 200, inputmode: "numeric", placeholder: "12" });
  return make(
    "details",
    { class: "sheet wide" },
    make("summary", {}, say("Several alike, printed label, thickness, cut")),
    make(
      "div",
      { class: "stack" },
      make(
        "div",
        { class: "row" },
        make("div", { class: "grow" }, field(say("How many alike?"), alike)),
        button(say("Write them down"), () => severalAlike(here, name, alike), { class: "low" }),
      ),
      make(
        "div",
        { class: "row" },
        make(
          "div",
          { class: "grow" },
          field(say("Code on the next printed label"), input("code", { autocapitalize: "characters", spellcheck: "false" }), typed.words),
        ),
        button(say("Take this label"), () => takeLabel(), { class: "low" }),
      ),
      canScan() ? button(say("Read it with the camera"), () => scan(camera, heard)) : null,
      camera,
      make(
        "div",
        { class: "pair", oninput: () => adviseOn(here) },
        field(say("Stock, {unit}", { unit }), input("stock", { inputmode: unit === "in" ? "text" : "decimal" })),
        field(say("Scion, {unit}", { unit }), input("scion", { inputmode: unit === "in" ? "text" : "decimal" })),
      ),
      adviceWhole(),
      make(
        "div",
        { class: "pair" },
        field(say("Length of the cut, {unit}", { unit }), input("cut", { inputmode: unit === "in" ? "text" : "decimal" })),
        field(say("Top leaned by, {unit}", { unit }), input("lean", { inputmode: unit === "in" ? "text" : "decimal", placeholder: "0" })),
      ),
      why(say("Thickness, cut and lean go with every graft until you empty them. Lean 0: it stands straight.")),
    ),
  );
}

function severalAlike(here, name, control) {
  const count = Math.round(Number(control.value));
  if (!(count >= 1 && count <= 200)) return tell(say("Give a number from 1 to 200."));
  typed.count = "";
  return graft(here, name, count);
}

function heard(code, words) {
  typed.code = code;
  if (code) return takeLabel();
  typed.words = words;
  return words && changed();
}

function takeLabel() {
  const used = new Set(ofKind("grafted").map(({ event }) => event.payload.code_number));
  const free = (known.snapshot.labels_ahead ?? []).filter(({ number }) => !used.has(number));
  const { found, words } = find(typed.code, free, ({ code }) => code);
  typed.printed = found ?? null;
  typed.words = found ? say("The next graft takes {code}.", { code: grouped(found.code) }) : words;
  tell(typed.words);
  changed();
}

// 7, 6.5 mm, 5/8, 1 1/4 in: null where nothing is typed, NaN where that is no size from low to high; those of a stem where none are given.
export function millimetres(text, unit = known.snapshot.nursery?.length_unit, low = THINNEST_MM, high = THICKEST_MM) {
  const plain = text.trim().toLowerCase().replace(",", ".");
  if (!plain) return null;
  const found = plain.match(/^(?:(\d*\.?\d+)|(?:(\d+)\s+)?(\d+)\/(\d+))\s*(mm|cm|in|inch|")?$/);
  if (!found) return NaN;
  const [, number, whole, above, below, named] = found;
  const value = number ? Number(number) : Number(whole ?? 0) + Number(above) / Number(below);
  const inches = named ? !["mm", "cm"].includes(named) : unit === "in";
  const mm = Math.round(value * (inches ? 25.4 : named === "cm" ? 10 : 1) * 100) / 100;
  return mm >= low && mm <= high ? mm : NaN;
}
