// Reading labels by the camera; here and on every other page where a code is typed.
import { button, make } from "./page.js";
import { say } from "./say.js";

const KINDS = ["qr_code", "data_matrix"];
const PAUSE_MS = 200;
const ENOUGH = 2; // a video element's state from which on it has a picture

// A camera is lent to secure addresses alone.
export const hasCamera = () => window.isSecureContext && Boolean(navigator.mediaDevices?.getUserMedia);
export const canScan = () => "BarcodeDetector" in window && hasCamera();

// The browser's own reader of symbols in a picture, or null where it has none for every kind on our labels.
export async function ownReader() {
  const known = "BarcodeDetector" in window ? await window.BarcodeDetector.getSupportedFormats().catch(() => []) : [];
  if (!KINDS.every((kind) => known.includes(kind))) return null;
  const reader = new window.BarcodeDetector({ formats: KINDS });
  return async (picture) => (await reader.detect(picture).catch(() => [])).map(({ rawValue }) => rawValue);
}

// Show the camera's picture in `place` until a label is read; `heard` gets the code, or the words why there is none.
export async function scan(place, heard) {
  const read = await ownReader();
  if (!read) return heard("", say("This browser reads no labels by the camera. Type the code."));
  const codeIn = (texts) => texts.map((text) => text.replace(/\s/g, "").match(/([A-Z0-9]{7})\/?$/i)?.[1]).find(Boolean);
  const saw = (texts) => {
    const code = codeIn(texts);
    if (code) heard(code, "");
    return Boolean(code);
  };
  return watch(place, { read, saw, ended: (words) => heard("", words) });
}

// Look through the camera until `saw` says that it is enough, or a person stops it, or leaves the page: then `ended` is told why.
export async function watch(place, { read, saw, ended, pause = PAUSE_MS }) {
  const picture = make("video", { autoplay: true, muted: true, playsinline: true, "aria-label": say("The camera's picture") });
  let stream;
  let over = false;
  const close = () => {
    over = true;
    stream?.getTracks().forEach((track) => track.stop());
    document.removeEventListener("visibilitychange", left);
    place.replaceChildren();
  };
  const end = (words = "") => {
    close();
    ended(words);
  };
  const left = () => document.hidden && end(say("The camera was stopped, because the page was left."));
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 } } });
  } catch {
    return end(say("The camera may not be used here. Type the code."));
  }
  if (document.hidden) return left();
  document.addEventListener("visibilitychange", left);
  picture.srcObject = stream;
  place.replaceChildren(
    picture,
    button(say("Stop the camera"), () => end()),
  );
  const look = async () => {
    if (over) return;
    if (!picture.isConnected) return end();
    const found = picture.readyState >= ENOUGH ? await read(picture) : [];
    if (over) return;
    if (found.length && saw(found)) close();
    else setTimeout(look, pause);
  };
  return look();
}
