// Setting the bench: chosen once for a run of grafts, remembered from the last time.
import * as clock from "./clock.js";
import { uuid7 } from "./ids.js";
import { bags, benches, cultivar, keep, known } from "./known.js";
import { button, choice, field, flag, go, make, show, tell, why } from "./page.js";
import { say } from "./say.js";
import { write } from "./write.js";

let chosen = null;
let missing = false; // whether it was to be set without a cultivar

const ofToday = () => benches().filter(({ day, cultivar: of }) => day === clock.day() && cultivar(of));

// The bench day that was chosen on this phone, as long as it is today's; another's is only offered, it names another grafter.
export const todaysBench = () => ofToday().find(({ id }) => id === known.bench) ?? null;

const nameOf = (list, id) => known.snapshot[list]?.find((each) => each.id === id)?.name;

export function settingWords(bench) {
  const bag = bags().find(({ id }) => id === bench.bag);
  const tree = nameOf("trees", bench.tree);
  const words = [
    nameOf("methods", bench.method),
    bag ? say("from {name}", { name: bag.name }) : tree ? say("from {name}", { name: tree }) : "",
    nameOf("lots", bench.lot),
    nameOf("domes", bench.dome),
    bench.grafter,
  ];
  return words.filter(Boolean).join(" · ");
}

export function setting() {
  if (!known.snapshot.cultivars?.length)
    return show(
      say("Set the bench"),
      make(
        "section",
        { class: "sheet wide" },
        make("p", { class: "say" }, say("The book knows no cultivar yet.")),
        why(say("Where there is a signal, write the first grafts down under Bench in the book. From then on this page knows them.")),
      ),
    );
  chosen ??= fromLastTime();
  const today = ofToday();
  return show(
    say("Set the bench"),
    today.length
      ? make(
          "section",
          { class: "sheet wide" },
          make("h2", {}, say("Set today already")),
          make(
            "div",
            { class: "stack" },
            today.map((bench) => button(`${cultivar(bench.cultivar).spoken} ${settingWords(bench)}`, () => goOn(bench))),
          ),
        )
      : null,
    make(
      "section",
      { class: "sheet wide" },
      why(say("For {day}. Only the cultivar is needed; the rest is taken from last time.", { day: clock.date() })),
      form(),
    ),
  );
}

// What was wanted last, but cultivar, tree and bag only of the bench that is worked at: with several cultivars it is chosen, never guessed.
function fromLastTime() {
  const here = todaysBench();
  const last =
    here ??
    benches()
      .filter(({ cultivar: of }) => cultivar(of))
      .sort((one, other) => (`${one.day}${one.id}` < `${other.day}${other.id}` ? -1 : 1))
      .at(-1);
  const { method = "", lot = "", dome = "", pot = "", grafter = "" } = last ?? {};
  const { tree = "", bag = "" } = here ?? {};
  const only = known.snapshot.cultivars.length === 1 ? known.snapshot.cultivars[0].id : "";
  const held = bags().some(({ id }) => id === bag) ? bag : ""; // one whose cutting was undone is none
  return { cultivar: here?.cultivar ?? only, method, lot, tree, bag: held, dome, pot, grafter };
}

const rows = (list, words = ({ name }) => name) => [
  { value: "", words: say("not said") },
  ...(list ?? []).map((each) => ({ value: each.id, words: words(each) })),
];

function form() {
  const ofThis = (list) => (list ?? []).filter((each) => each.cultivar === chosen.cultivar);
  const pick = (name, options, after = () => {}) =>
    choice(`set-${name}`, options, chosen[name] ?? "", {
      onchange: ({ target }) => {
        chosen[name] = target.value;
        after();
      },
    });
  const caution = cultivar(chosen.cultivar)?.protected;
  const wood = chosen.bag ? `bag:${chosen.bag}` : chosen.tree ? `tree:${chosen.tree}` : "";
  const woods = [
    { value: "", words: say("not said") },
    ...ofThis(bags()).map(({ id, name }) => ({ value: `bag:${id}`, words: name })),
    ...ofThis(known.snapshot.trees).map(({ id, name }) => ({ value: `tree:${id}`, words: name })),
  ];
  return make(
    "div",
    { class: "stack" },
    field(
      say("Cultivar"),
      pick(
        "cultivar",
        [
          ...(chosen.cultivar ? [] : [{ value: "", words: say("choose it") }]),
          ...known.snapshot.cultivars.map(({ id, spoken }) => ({ value: id, words: spoken })),
        ],
        newCultivar,
      ),
    ),
    missing ? flag(say("Choose the cultivar: every label will say its name.")) : null,
    caution ? flag(caution) : null,
    field(say("Bag or mother tree"), choice("set-wood", woods, wood, { onchange: ({ target }) => takeWood(target.value) })),
    field(
      say("Stock lot"),
      pick(
        "lot",
        rows(known.snapshot.lots, ({ name, left }) => (left === null || left === undefined ? name : say("{name}, {left} left", { name, left }))),
      ),
    ),
    field(say("Method"), pick("method", rows(known.snapshot.methods))),
    field(say("Into which dome?"), pick("dome", rows(known.snapshot.domes))),
    known.snapshot.pots_kinds ? field(say("Pot"), pick("pot", rows(known.snapshot.pots_kinds))) : null,
    field(
      say("Who grafts?"),
      make("input", {
        id: "set-grafter",
        value: chosen.grafter ?? "",
        maxlength: 60,
        autocomplete: "off",
        oninput: ({ target }) => (chosen.grafter = target.value),
      }),
    ),
    button(say("Set the bench"), setIt, { class: "main", id: "set-it" }),
  );
}

function newCultivar() {
  chosen.tree = chosen.bag = "";
  missing = false;
  setting();
}

function takeWood(value) {
  const [noun, id] = value.split(":");
  const bag = noun === "bag" ? bags().find((each) => each.id === id) : null;
  chosen.bag = bag?.id ?? "";
  chosen.tree = bag ? (bag.tree ?? "") : noun === "tree" ? id : "";
}

async function goOn(bench) {
  await keep("bench", bench.id).catch(() => {});
  go("#/bench");
}

async function setIt() {
  if (!chosen.cultivar) {
    missing = true;
    tell(say("Choose the cultivar: every label will say its name."));
    setting();
    return document.getElementById("set-cultivar").focus();
  }
  const bench = uuid7(clock.now());
  const payload = { bench, day: clock.day() };
  for (const [name, value] of Object.entries(chosen)) if (value) payload[name] = value;
  await write([{ kind: "bench_set", subjects: [`bench:${bench}`], payload }], { said: say("The bench is set.") });
  chosen = null;
  missing = false;
  known.bench = bench;
  await keep("bench", bench).catch(() => tell(say("The phone could keep nothing more.")));
  go("#/bench");
}
