// One plant on a round: what is seen is one tap, the next plant one swipe or arrow key away.
import * as clock from "./clock.js";
import { dome, known } from "./known.js";
import { button, choice, field, go, grouped, link, make, say, show, why } from "./page.js";
import { chanceWords, ringAlone } from "./ring.js";
import { domeSeen, seenToday, standing, walked } from "./round.js";
import { SIGNS } from "./signs.js";
import { amend, undo, write } from "./write.js";

// Signs of a lost plant and causes that are suspected: words to choose from; none is needed.
const LOST_SIGNS = ["dried up", "black wood", "mouldy", "rotten", "broken off", "eaten"];
const CAUSES = ["too dry", "too hot", "too wet", "stock never woke", "cambium did not meet", "knocked"];

let place = null; // { id, plant } while a plant is shown, for keys and swipes

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
    `${here.name}: ${i + 1} of ${plants.length}`,
    make(
      "section",
      { class: "sheet wide plant-here" },
      make(
        "div",
        { class: "row" },
        ringAlone(shown, 84, `${pot.said}: ${chance || "no chance reckoned yet"}`),
        make(
          "div",
          { class: "grow" },
          make("p", { class: "spoken" }, pot.said),
          make(
            "p",
            { class: "why" },
            [
              pot.place ? `place ${pot.place}` : "",
              pot.code ? grouped(pot.code) : "",
              chance && !isLost ? `chance ${chance}, as of ${clock.asOf(new Date(known.snapshot.server_now))}` : "",
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
            ? make("b", {}, `Now: ${seen.map(({ words }) => words.toLowerCase()).join("; ")}`)
            : `Last: ${pot.last || "not looked at yet"}`,
        ),
        seen.length
          ? button("Undo", () => undo([seen.at(-1).entry]), {
              id: "undo",
              "aria-label": `Undo: ${seen.at(-1).words}`,
              "aria-keyshortcuts": "Z",
            })
          : null,
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
      link("Tray", `#/round/${id}`, { class: "button", id: "tray" }),
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
  const words = way === "next" ? "Next" : "Back";
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
  if (seen.at(-1)?.said === sign.said) return say(`${pot.said}: ${sign.words.toLowerCase()} is written down already.`);
  const events = [{ kind: sign.kind, subjects: [`plant:${pot.plant}`], payload: sign.payload, local: { said: pot.said } }];
  const others = plants.filter((other) => other.plant !== pot.plant);
  if (!domeSeen(here) && others.every((other) => seenToday(other.plant).length))
    events.push({ kind: "observed", subjects: [`dome:${here.id}`], local: { said: here.name } });
  return write(events, { said: `${pot.said}: ${sign.words.toLowerCase()}.` });
}

function whyLost(entry) {
  const pick = (name, words, options) => {
    const chosen = entry.event.payload[name] ?? "";
    const list = [{ value: "", words: "not said" }, ...options.map((each) => ({ value: each, words: each }))];
    return field(
      words,
      choice(`lost-${name}`, list, chosen, {
        onchange: ({ target }) => target.value && amend(entry, { [name]: target.value }, `${words} ${target.value}.`),
      }),
    );
  };
  return make("div", { class: "pair" }, pick("sign", "What is seen?", LOST_SIGNS), pick("cause", "Suspected cause", CAUSES));
}

export function leave() {
  place = null;
}

export function onward(by) {
  const other = place?.plants[place.i + by];
  if (other) go(`#/round/${place.here.id}/${other.plant}`);
}

export function pressed({ key, target, ctrlKey, metaKey, altKey }) {
  if (!place || ctrlKey || metaKey || altKey || /^(input|select|textarea)$/i.test(target.tagName)) return;
  if (key === "ArrowRight") onward(1);
  else if (key === "ArrowLeft") onward(-1);
  else if (key.toLowerCase() === "z") document.getElementById("undo")?.click();
  else document.getElementById(`sign-${buttons(place.here).find((sign) => sign.key === key.toLowerCase())?.said}`)?.click();
}
