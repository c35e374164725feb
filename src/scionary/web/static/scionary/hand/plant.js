// One plant on a round: what is seen is one tap, and the round goes on by itself where that ends the look; else it is a swipe or an arrow key.
import * as clock from "./clock.js";
import { dome, known } from "./known.js";
import { remember, undoLastLook } from "./last.js";
import { button, choice, field, go, grouped, link, make, show, tell, why } from "./page.js";
import { chanceWords, ringAlone } from "./ring.js";
import { domeSeen, isSeen, seenToday, standing, walked } from "./round.js";
import { mark, say } from "./say.js";
import { SIGNS } from "./signs.js";
import { amend, undo, write } from "./write.js";

// Signs of a lost plant and causes that are suspected: what the book keeps is the English word; none is needed.
const LOST_SIGNS = [mark("dried up"), mark("black wood"), mark("mouldy"), mark("rotten"), mark("broken off"), mark("eaten")];
const CAUSES = [
  mark("too dry"),
  mark("too hot"),
  mark("too wet"),
  mark("stock never woke"),
  mark("cambium did not meet"),
  mark("knocked"),
];
const DOUBLE_TAP_MS = 350; // sooner than this, the same again was not meant, nor anything for a plant that has just come up

let place = null; // { here, plants, i, pot, seen } while a plant is shown, for keys and swipes
let tapped = { at: -DOUBLE_TAP_MS, plant: "", said: "" };

export function plant(id, ident) {
  const here = dome(id);
  const looked = here ? walked(here).map((pot) => pot.plant) : [];
  const plants = here ? standing(here).filter((pot) => pot.plant === ident || looked.includes(pot.plant)) : [];
  const i = plants.findIndex((pot) => pot.plant === ident);
  if (i < 0) return go(here ? `#/round/${id}` : "#/rounds");
  const pot = plants[i];
  const seen = seenToday(ident);
  const isLost = seen.some(({ said }) => said === "lost");
  const shown = isLost ? { ...pot, mark: "cross" } : pot;
  place = { here, plants, i, pot, seen };
  const chance = chanceWords(shown);
  return show(
    say("{dome}: {number} of {all}", { dome: here.name, number: i + 1, all: plants.length }),
    make(
      "section",
      { class: "sheet wide plant-here" },
      make(
        "div",
        { class: "row" },
        ringAlone(shown, 84, `${pot.said}: ${chance || say("no chance reckoned yet")}`),
        make(
          "div",
          { class: "grow" },
          make("p", { class: "spoken" }, pot.said),
          make(
            "p",
            { class: "why" },
            [
              pot.place ? say("place {number}", { number: pot.place }) : "",
              pot.code ? grouped(pot.code) : "",
              chance && !isLost ? say("chance {chance}, as of {time}", { chance, time: clock.asOf(new Date(known.snapshot.server_now)) }) : "",
            ]
              .filter(Boolean)
              .join(" · "),
          ),
        ),
      ),
      make(
        "div",
        { class: "row seen-now" },
        make(
          "p",
          { class: "grow" },
          seen.length
            ? make("b", {}, say("Now: {signs}", { signs: seen.map(({ within }) => within).join("; ") }))
            : say("Last: {sign}", { sign: pot.last || say("not looked at yet") }),
        ),
        seen.length
          ? button(say("Undo"), () => undo([seen.at(-1).entry]), {
              id: "undo",
              "aria-label": say("Undo: {what}", { what: seen.at(-1).words }),
              "aria-keyshortcuts": "Z",
            })
          : undoLastLook(id),
      ),
      make(
        "div",
        { class: "signs" },
        buttons(here).map((sign) => signButton(sign, seen)),
      ),
      isLost ? whyLost(seen.find(({ said }) => said === "lost").entry) : null,
    ),
    make(
      "div",
      { class: "row wide onward" },
      step(i - 1, "previous"),
      link(say("Tray"), `#/round/${id}`, { class: "button", id: "tray" }),
      step(i + 1, "next"),
    ),
  );
}

const buttons = (here) => SIGNS.filter((sign) => !sign.leafy || here.leafy !== false);

const signButton = (sign, seen) => {
  const chosen = seen.some(({ said }) => said === sign.said);
  return make(
    "button",
    {
      type: "button",
      id: `sign-${sign.said}`,
      class: chosen ? "chosen" : null,
      "aria-pressed": String(chosen),
      "aria-keyshortcuts": sign.key.toUpperCase(),
      onclick: () => tap(sign),
    },
    sign.words,
    make("kbd", { "aria-hidden": "true" }, sign.key.toUpperCase()),
  );
};

function step(i, way) {
  const { plants, here } = place;
  const other = plants[i];
  const words = way === "next" ? say("Next") : say("Back");
  if (!other) return make("span", { class: "grow" });
  return link(
    [
      make("span", {}, words, make("kbd", { "aria-hidden": "true" }, way === "next" ? "→" : "←")),
      make("span", { class: "why-here" }, other.said),
    ],
    `#/round/${here.id}/${other.plant}`,
    { class: way === "next" ? "button main grow two" : "button grow two", id: way },
  );
}

async function tap(sign) {
  const { here, plants, pot, seen } = place;
  const again = sign.said === tapped.said || pot.plant !== tapped.plant;
  if (again && performance.now() - tapped.at < DOUBLE_TAP_MS) return undefined;
  tapped = { at: performance.now(), plant: pot.plant, said: sign.said };
  if (seen.at(-1)?.said === sign.said) return tell(say("{name}: {sign} is written down already.", { name: pot.said, sign: sign.within }));
  const events = [{ kind: sign.kind, subjects: [`plant:${pot.plant}`], payload: sign.payload, local: { said: pot.said } }];
  const others = plants.filter((other) => other.plant !== pot.plant);
  if (!domeSeen(here) && others.every(isSeen))
    events.push({ kind: "observed", subjects: [`dome:${here.id}`], local: { said: here.name } });
  const entries = await write(events, { said: say("{name}: {sign}.", { name: pot.said, sign: sign.within }) });
  if (sign.last && place?.pot.plant === pot.plant) goOn(here, { dome: here.id, pot, sign, entries });
  return entries;
}

// To the next plant that was not looked at, behind this one and then from the beginning; else back to the tray.
function goOn(here, look) {
  const { plants, i } = place;
  const to = [...plants.slice(i + 1), ...plants.slice(0, i)].find((pot) => !isSeen(pot));
  remember(look);
  go(to ? `#/round/${here.id}/${to.plant}` : `#/round/${here.id}`);
}

function whyLost(entry) {
  const pick = (name, words, options) => {
    const chosen = entry.event.payload[name] ?? "";
    const list = [{ value: "", words: say("not said") }, ...options.map((each) => ({ value: each, words: say(each) }))];
    return field(
      words,
      choice(`lost-${name}`, list, chosen, {
        onchange: ({ target }) =>
          target.value && amend(entry, { [name]: target.value }, say("{question} {answer}.", { question: words, answer: say(target.value) })),
      }),
    );
  };
  return make("div", { class: "pair" }, pick("sign", say("What is seen?"), LOST_SIGNS), pick("cause", say("Suspected cause"), CAUSES));
}

export function leave() {
  place = null;
}

export function onward(by) {
  const other = place?.plants[place.i + by];
  if (other) go(`#/round/${place.here.id}/${other.plant}`);
}

export function pressed({ key, target, ctrlKey, metaKey, altKey, repeat }) {
  if (!place || repeat || ctrlKey || metaKey || altKey || /^(input|select|textarea)$/i.test(target.tagName)) return;
  if (key === "ArrowRight") onward(1);
  else if (key === "ArrowLeft") onward(-1);
  else if (key.toLowerCase() === "z") document.getElementById("undo")?.click();
  else document.getElementById(`sign-${buttons(place.here).find((sign) => sign.key === key.toLowerCase())?.said}`)?.click();
}
