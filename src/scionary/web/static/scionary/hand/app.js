// The page for the hand: starts, finds the fitting part, and shows in its header what is not sent yet.
import { bench } from "./bench.js";
import { setting, settingWords, todaysBench } from "./bench_set.js";
import { joining } from "./join.js";
import { cultivar, known, load, madeAt, nextNumber, unsent } from "./known.js";
import { flag, link, make, onChange, show, why } from "./page.js";
import { leave, onward, plant, pressed } from "./plant.js";
import { isSeen, round, rounds, walked } from "./round.js";
import { say, several } from "./say.js";
import { begin, standIn } from "./send.js";
import { open } from "./store.js";
import { signIn, waiting } from "./waiting.js";
import { atTree, yard } from "./yard.js";

const ID = "([0-9a-f-]{36})";
const SCREENS = [
  [/^#\/bench$/, bench],
  [/^#\/bench\/set$/, setting],
  [/^#\/rounds$/, rounds],
  [new RegExp(`^#/round/${ID}$`), (id) => round(id)],
  [new RegExp(`^#/round/${ID}/${ID}$`), plant],
  [/^#\/yard$/, yard],
  [new RegExp(`^#/yard/${ID}$`), atTree],
  [/^#\/waiting$/, waiting],
  [/^#\/join$/, joining],
];
const SWIPE_PX = 70;
let shownAt = "";

// A page of the book that did not load leaves its address: its part is shown.
function partOf(path) {
  if (path.startsWith("/bench/")) return "#/bench";
  const found = path.match(new RegExp(`^/domes/${ID}/`));
  return found ? `#/round/${found[1]}` : path.startsWith("/domes/") ? "#/rounds" : "#/";
}

const standsIn = () => location.pathname !== "/hand/";

function screen() {
  if (!location.hash && standsIn()) history.replaceState(null, "", `${location.pathname}${partOf(location.pathname)}`);
  const hash = location.hash || "#/";
  const moved = shownAt && hash !== shownAt;
  shownAt = hash;
  leave();
  if (!known.snapshot || (!known.device && hash !== "#/waiting")) joining();
  else {
    const [match, draw] = SCREENS.map(([pattern, call]) => [hash.match(pattern), call]).find(([found]) => found) ?? [[""], start];
    draw(...match.slice(1));
  }
  if (location.hash && location.hash !== hash) return; // the screen led on to another
  header(hash);
  if (moved) arrive();
}

function arrive() {
  window.scrollTo(0, 0);
  document.getElementById("heading").focus({ preventScroll: true });
}

const typing = () => /^(input|select|textarea)$/i.test(document.activeElement?.tagName ?? "");

const heads = () => ({
  away: say("no signal"),
  "signed-out": known.device ? say("sign in again") : say("not signed in"),
  unknown: say("not known to the book"),
});

function header(hash) {
  const count = unsent();
  const chip = document.getElementById("wait");
  chip.hidden = false;
  const aside = known.refused.length ? say("{count} not taken · look", { count: known.refused.length }) : say("all sent");
  const words = count ? say("{count} waiting · not sent yet", { count }) : (heads()[known.trouble] ?? aside);
  if (chip.textContent !== words) chip.textContent = words;
  chip.classList.toggle("quietly", !count && !known.trouble && !known.refused.length);
  for (const part of document.querySelectorAll("#parts a")) {
    const here = hash.startsWith(`#/${part.dataset.part.replace(/s$/, "")}`);
    if (here) part.setAttribute("aria-current", "page");
    else part.removeAttribute("aria-current");
  }
  const main = document.getElementById("main");
  document.getElementById("notes")?.remove();
  const notes = [
    known.unsaved.length ? flag(known.storage, " ", link(say("Save it under Waiting"), "#/waiting")) : null,
    standsIn() ? didNotAnswer() : null,
    hash === "#/waiting" || !known.device ? null : signIn(),
  ].filter(Boolean);
  if (notes.length) main.prepend(make("div", { class: "stack wide", id: "notes", role: known.unsaved.length ? "alert" : "note" }, notes));
}

const didNotAnswer = () =>
  make(
    "p",
    { class: "why" },
    say("The book did not answer, so this is what the phone keeps."),
    " ",
    link(say("Try the page again"), location.pathname + location.search),
  );

function unseenWords(domes) {
  const names = domes
    .map(({ name }) => name)
    .slice(0, 4)
    .join(", ");
  return domes.length > 4 ? say("{names} and more: not all seen today", { names }) : say("{names}: not all seen today", { names });
}

function start() {
  const here = todaysBench();
  const domes = known.snapshot.domes ?? [];
  const todo = domes.filter((dome) => !walked(dome).every(isSeen));
  const line = (said, words, address) =>
    make(
      "li",
      {},
      link(
        [make("span", { class: "grow" }, make("span", { class: "said" }, said), make("br"), make("span", { class: "why" }, words))],
        address,
        { class: "open" },
      ),
    );
  show(
    known.snapshot.nursery?.name || say("In the hand"),
    make(
      "section",
      { class: "sheet wide" },
      make("p", { class: "say" }, say("What you write here is kept on the phone and sent when it can.")),
      make("ul", { class: "lines" }, [
        line(
          say("Bench"),
          here
            ? say("{bench} · {count} made · next is {number}", {
                bench: `${cultivar(here.cultivar).spoken} ${settingWords(here)}`,
                count: madeAt(here).length,
                number: nextNumber(here.cultivar),
              })
            : say("not set on this phone today"),
          "#/bench",
        ),
        line(say("Rounds"), todo.length ? unseenWords(todo) : domes.length ? say("all seen today") : say("no dome yet"), "#/rounds"),
        line(say("Yard"), several((known.snapshot.trees ?? []).length, "{count} mother tree", "{count} mother trees"), "#/yard"),
      ]),
      known.snapshot.cultivars?.length
        ? null
        : why(say("The book has no cultivar yet. Where there is a signal, write the first grafts down under Bench in the book; then this page knows them.")),
    ),
  );
}

function listen() {
  window.addEventListener("hashchange", screen);
  window.addEventListener("keydown", pressed);
  window.addEventListener("beforeunload", (event) => known.unsaved.length && event.preventDefault());
  onChange((quietly) => (quietly && typing() ? header(location.hash || "#/") : screen()));
  let from = null;
  const main = document.getElementById("main");
  main.addEventListener(
    "touchstart",
    ({ touches, target }) => (from = touches.length === 1 && !target.closest(".scroll, input, select") ? touches[0] : null),
    { passive: true },
  );
  main.addEventListener("touchend", ({ changedTouches }) => {
    if (!from) return;
    const [right, down] = [changedTouches[0].clientX - from.clientX, changedTouches[0].clientY - from.clientY];
    if (Math.abs(right) > SWIPE_PX && Math.abs(down) < SWIPE_PX / 2) onward(right < 0 ? 1 : -1);
  });
}

function keepPage() {
  if (!("serviceWorker" in navigator) || !window.isSecureContext) return;
  navigator.serviceWorker.register("/sw.js", { scope: "/", updateViaCache: "none" }).catch(() => {});
}

async function run() {
  try {
    await open();
    await load();
  } catch {
    show(
      say("Scionary in the hand"),
      make(
        "section",
        { class: "sheet wide" },
        make("p", { class: "say" }, say("This browser keeps nothing here.")),
        why(
          say(
            "It may be a private window, or its storage is closed. Without it nothing can be written down where there is no signal. The book's pages work where there is one; paper works everywhere.",
          ),
        ),
      ),
    );
    return;
  }
  listen();
  screen();
  if (known.device) standIn();
  keepPage();
  await begin();
  screen();
}

run();
