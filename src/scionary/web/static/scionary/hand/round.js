// A round: dome by dome on the drawn tray; a pot leads to its plant, what was seen stands on it at once.
import * as clock from "./clock.js";
import { find } from "./codes.js";
import { about, dome, known, ofKind, own, undonePlants } from "./known.js";
import { undoLastLook } from "./last.js";
import { button, changed, field, go, link, make, sheet, show, tell, why } from "./page.js";
import { chanceWords, ringAlone } from "./ring.js";
import { say, several } from "./say.js";
import { canScan, scan } from "./scan.js";
import { signOf } from "./signs.js";
import { littleTray, tray } from "./tray.js";
import { wholeDome } from "./whole_dome.js";
import { undo, write } from "./write.js";

const typed = { code: "", words: "" };

// Pots of a dome with a plant in them: the book's, then those that were grafted here into it.
export function standing(here) {
  const gone = undonePlants();
  const there = (here.pots ?? []).filter(({ plant, state }) => plant && !gone.has(plant) && state !== "left");
  const fresh = ofKind("grafted").filter(
    ({ event, local }) => event.payload.dome === here.id && !there.some(({ plant }) => plant === local.plant),
  );
  return [
    ...there,
    ...fresh.map(({ local }) => ({
      plant: local.plant,
      said: local.said,
      code: local.code,
      place: 0,
      x_mm: -1,
      y_mm: -1,
      chance: null,
      mark: "",
      last: say("grafted here"),
      fresh: true,
    })),
  ];
}

// Those that a round looks at: a plant that was lost before today is only drawn.
export const walked = (here) => standing(here).filter(({ plant, state }) => state !== "dead" || seenToday(plant).length);

const isToday = ({ event }) => clock.day(new Date(event.happened_at)) === clock.day();

// What was seen on a plant on this walk; of several outcomes the last one holds.
export function seenToday(plant) {
  const found = about(`plant:${plant}`).filter((entry) => isToday(entry) && ["scored", "observed", "lost"].includes(entry.event.kind));
  const signs = found.map((entry) => ({ entry, ...(signOf(entry.event) ?? { words: say("Looked at"), within: say("looked at"), short: say("seen") }) }));
  const outcome = signs.filter(({ outcome }) => outcome).at(-1);
  const order = new Map(signs.map((sign, i) => [sign.said, i]));
  return signs.filter((sign, i) => (sign.outcome ? sign === outcome : order.get(sign.said) === i));
}

// Whether it was looked at today, with this phone or, as the book told last, by anybody.
export const isSeen = ({ plant, seen_on }) => seenToday(plant).length > 0 || seen_on === clock.day();

export const domeSeen = (here) =>
  about(`dome:${here.id}`).some((entry) => isToday(entry) && entry.event.kind === "observed" && !entry.event.payload.note);

export function rounds() {
  const domes = known.snapshot.domes ?? [];
  if (!domes.length)
    return show(
      say("Rounds"),
      sheet(
        make("p", { class: "say" }, say("The book knows no dome yet.")),
        why(say("A dome is added with the first grafts that go into it, or under Domes where there is a signal.")),
      ),
    );
  return show(
    say("Rounds"),
    make(
      "section",
      { class: "sheet wide" },
      make("p", { class: "say" }, say("Which dome do you stand at?")),
      make("ul", { class: "lines" }, domes.map(domeLine)),
    ),
    findBox(domes.flatMap((each) => standing(each).map((pot) => ({ ...pot, dome: each.id })))),
  );
}

function domeLine(each) {
  const plants = walked(each);
  const seen = plants.filter(isSeen).length;
  const words = [
    each.stands,
    plants.length ? several(plants.length, "{count} plant", "{count} plants") : say("empty"),
    seen ? say("{count} seen today", { count: seen }) : "",
  ];
  return make(
    "li",
    {},
    link(
      [
        make(
          "span",
          { class: "grow" },
          make("span", { class: "said" }, each.name),
          make("br"),
          make("span", { class: "why" }, words.filter(Boolean).join(" · ")),
        ),
        littleTray(each, each.pots ?? [], isSeen),
      ],
      `#/round/${each.id}`,
      { class: "open" },
    ),
  );
}

export function round(id, here = "") {
  const found = dome(id);
  if (!found) return go("#/rounds");
  const [drawn, plants] = [standing(found), walked(found)];
  const todo = plants.filter((pot) => !isSeen(pot));
  const address = ({ plant }) => `#/round/${id}/${plant}`;
  const beyond = drawn.filter(({ x_mm }) => x_mm < 0);
  return show(
    say("{dome}: round", { dome: found.name }),
    make(
      "section",
      { class: "sheet wide" },
      make(
        "p",
        { class: "say" },
        plants.length
          ? todo.length
            ? say("{seen} of {all} seen. Tap a pot, or begin at the first.", { seen: plants.length - todo.length, all: plants.length })
            : say("All {count} are seen.", { count: plants.length })
          : drawn.length
            ? say("All that stands here is lost.")
            : say("Nothing stands here."),
      ),
      todo.length ? link(say("Next: {name}", { name: todo[0].said }), address(todo[0]), { class: "button main huge", id: "next" }) : null,
      tray(
        found,
        (found.pots ?? []).map((pot) => drawn.find(({ plant }) => plant === pot.plant) ?? { ...pot, plant: null }),
        address,
        { seen: seenOn, here },
      ),
      why(
        say("Rings as of {time}: the book reckons them again at the next contact. ✓ was seen today, here or in the book.", {
          time: clock.asOf(new Date(known.snapshot.server_now)),
        }),
      ),
      beyond.length
        ? make(
            "ul",
            { class: "lines" },
            beyond.map((pot) => plantLine(pot, address)),
          )
        : null,
      todo.length
        ? button(
            todo.length === plants.length
              ? say("All {count} unchanged", { count: plants.length })
              : say("All the rest unchanged: {count}", { count: todo.length }),
            () => restUnchanged(found, todo),
            { id: "rest" },
          )
        : null,
      lastGroup(found),
      undoLastLook(id),
    ),
    findBox(drawn.map((pot) => ({ ...pot, dome: id }))),
    wholeDome(found),
    drawn.length
      ? make(
          "details",
          { class: "sheet wide" },
          make("summary", {}, say("The tray as a list")),
          make(
            "ul",
            { class: "lines" },
            drawn.map((pot) => plantLine(pot, address)),
          ),
        )
      : null,
  );
}

// What stands on its pot: what was seen with this phone, else that the book has seen it today.
function seenOn(pot) {
  const seen = seenToday(pot.plant);
  return seen.length || !isSeen(pot) ? seen : [{ said: "", words: pot.last || say("Looked at"), short: say("seen") }];
}

function plantLine(pot, address) {
  const seen = seenOn(pot);
  const words = seen.length ? `✓ ${seen.map((sign) => sign.words).join(", ")}` : pot.last || say("not looked at yet");
  const shown = seen.at(-1)?.said === "lost" ? { ...pot, mark: "cross" } : pot;
  return make(
    "li",
    {},
    link(
      [
        ringAlone(shown, 40, chanceWords(shown) || say("no chance reckoned yet")),
        make(
          "span",
          { class: "grow" },
          make("span", { class: "said" }, pot.said),
          make("br"),
          make("span", { class: "why" }, [pot.place ? say("place {number}", { number: pot.place }) : "", words].filter(Boolean).join(" · ")),
        ),
      ],
      address(pot),
      { class: "open" },
    ),
  );
}

async function restUnchanged(here, todo) {
  const events = todo.map((pot) => ({
    kind: "observed",
    subjects: [`plant:${pot.plant}`],
    payload: { seen: "unchanged" },
    local: { said: pot.said },
  }));
  events.push({ kind: "observed", subjects: [`dome:${here.id}`], local: { said: here.name } });
  await write(events, { group: `rest-${here.id}-${Date.now()}`, said: several(todo.length, "{count} plant unchanged.", "{count} plants unchanged.") });
}

function lastGroup(here) {
  const group = own().findLast((entry) => isToday(entry) && entry.group?.startsWith(`rest-${here.id}`))?.group;
  if (!group) return null;
  const entries = own().filter((entry) => entry.group === group);
  return button(say("Undo: {count} unchanged", { count: entries.length - 1 }), () => undo(entries), { class: "quiet", id: "undo-rest" });
}

function findBox(plants) {
  const camera = make("div", { class: "stack" });
  const input = make("input", {
    id: "find-code",
    value: typed.code,
    autocapitalize: "characters",
    autocomplete: "off",
    spellcheck: "false",
    oninput: ({ target }) => (typed.code = target.value),
    onkeydown: ({ key }) => key === "Enter" && look(plants),
  });
  const heard = (code, words) => {
    typed.code = code;
    typed.words = words;
    if (code) look(plants);
    else if (words) changed();
  };
  return make(
    "details",
    { class: "sheet wide", open: typed.words ? true : null },
    make("summary", {}, say("Find by code or name")),
    make(
      "div",
      { class: "row" },
      make("div", { class: "grow" }, field(say("Code, or name and number"), input, typed.words)),
      button(say("Find"), () => look(plants), { class: "low" }),
    ),
    canScan() ? button(say("Read the label with the camera"), () => scan(camera, heard)) : null,
    camera,
  );
}

function look(plants) {
  const name = typed.code.trim().toLowerCase().replace(/\s+/g, " ");
  const named = plants.filter(({ said, place }) => said.toLowerCase() === name || (/^\d+$/.test(name) && String(place) === name));
  const { found, words } = named.length === 1 ? { found: named[0] } : find(typed.code, plants, ({ code }) => code);
  typed.words = found ? "" : named.length > 1 ? say("Several are called so: give the code.") : words;
  if (!found) {
    tell(typed.words);
    return changed();
  }
  typed.code = "";
  return go(`#/round/${found.dome}/${found.plant}`);
}
