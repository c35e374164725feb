// Labels read with the camera wherever a code is typed: by the browser's own reader, else by small pictures that the book reads.
import { button, make } from "./hand/page.js";
import { say } from "./hand/say.js";
import { hasCamera, ownReader, watch } from "./hand/scan.js";

const [OWN_MS, ASK_MS] = [250, 700];
const LONGER_SIDE = 1280;
const token = JSON.parse(document.body.getAttribute("hx-headers") ?? "{}")["X-CSRFToken"] ?? "";

for (const here of document.querySelectorAll("[data-camera-into]")) if (hasCamera()) offer(here);

function offer(here) {
  const [place, told] = here.children;
  const tell = (words) => told.textContent === words || (told.textContent = words);
  const start = button(say("Read the label with the camera"), () => begin(here, place, tell, start));
  here.prepend(start);
  here.hidden = false;
}

async function begin(here, place, tell, start) {
  start.hidden = true;
  tell(say("Hold a label before the camera."));
  const own = await ownReader();
  const ask = asking(here.dataset.cameraAsks, tell);
  const read = own ? async (picture) => ask(texts(await own(picture))) : async (picture) => ask(await frame(picture));
  const ended = (words) => {
    start.hidden = false;
    tell(words);
    if (!words) start.focus();
  };
  const into = here.dataset.cameraInto;
  const saw = here.dataset.cameraThen === "send" ? (labels) => send(labels, tell, into) : here.dataset.cameraThen === "go" ? (labels) => go(labels, tell) : (labels) => keep(labels, tell, into);
  watch(place, { read, saw, ended, pause: own ? OWN_MS : ASK_MS });
}

// What the book says to what is seen; the same texts are not asked for twice in a row.
function asking(address, tell) {
  let before = "";
  return async (seen) => {
    const now = seen?.getAll("text").join("\n") ?? "";
    if (!seen || (now && now === before)) return [];
    const answer = await fetch(address, { method: "POST", body: seen, headers: { "X-CSRFToken": token }, redirect: "manual" }).catch(() => null);
    if (!answer?.ok) {
      const words = (await answer?.json().catch(() => null))?.words;
      tell(words ?? (answer ? say("Load this page again, and sign in if it asks.") : say("The book does not answer.")));
      return [];
    }
    before = now;
    const { labels, to } = await answer.json();
    return Object.assign(labels, { to });
  };
}

function go(labels, tell) {
  tell(labels.map(({ words }) => words).join(" "));
  const codes = labels.filter(({ code }) => code);
  const to = codes.length > 1 ? labels.to : (codes[0] ?? labels[0]).to;
  if (to) window.location.assign(to);
  return Boolean(to);
}

// One code at a time: it is put into its field, and the field's form is sent.
function send(labels, tell, id) {
  const read = labels.find(({ code }) => code) ?? labels[0];
  tell(read?.words ?? "");
  if (!read?.code) return false;
  const field = document.getElementById(id);
  field.value = read.code;
  field.form.requestSubmit();
  return true;
}

function keep(labels, tell, id) {
  const field = document.getElementById(id);
  const there = field.value.split(/[,;\n]+/).map((each) => each.trim()).filter(Boolean);
  const bare = there.map((each) => each.replace(/\s/g, "").toUpperCase());
  const fresh = labels.filter(({ text, code, taken }) => code && !taken && !bare.includes(text)).map(({ code }) => code);
  field.value = [...there, ...fresh].join(", ");
  const told = labels.filter(({ code, taken }) => taken || !code).map(({ words }) => words);
  const taken = fresh.length ? say("Taken: {codes}.", { codes: fresh.join(", ") }) : "";
  const all = there.length ? say("{count} in all.", { count: there.length + fresh.length }) : "";
  tell([...told, taken, all].join(" ").trim());
  return false;
}

function texts(found) {
  if (!found.length) return null;
  const seen = new FormData();
  for (const text of found) seen.append("text", text);
  return seen;
}

async function frame(picture) {
  const { videoWidth, videoHeight } = picture;
  const share = Math.min(1, LONGER_SIDE / Math.max(videoWidth, videoHeight));
  const canvas = make("canvas", { width: Math.round(videoWidth * share), height: Math.round(videoHeight * share) });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  const seen = new FormData();
  seen.append("frame", await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.8)), "camera.jpg");
  return seen;
}
