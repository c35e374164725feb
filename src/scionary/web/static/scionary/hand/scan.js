// Reading a label by the camera, where this browser can; the code may stand alone or at the end of an address.
import { button, make } from "./page.js";

export const canScan = () => "BarcodeDetector" in window && Boolean(navigator.mediaDevices?.getUserMedia);

// Show the camera's picture in `place` until a label is read; `heard` gets the code, or the words why there is none.
export async function scan(place, heard) {
  const picture = make("video", { autoplay: true, muted: true, playsinline: true, "aria-label": "The camera's picture" });
  let stream;
  const end = (code, words = "") => {
    stream?.getTracks().forEach((track) => track.stop());
    place.replaceChildren();
    heard(code, words);
  };
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    return end("", "The camera may not be used here. Type the code.");
  }
  picture.srcObject = stream;
  place.replaceChildren(
    picture,
    button("Stop the camera", () => end("")),
  );
  const reader = new window.BarcodeDetector({ formats: ["qr_code", "data_matrix"] });
  const look = async () => {
    if (!picture.isConnected) return end("");
    const found = await reader.detect(picture).catch(() => []);
    const code = found.map(({ rawValue }) => rawValue.replace(/\s/g, "").match(/([A-Z0-9]{7})\/?$/i)?.[1]).find(Boolean);
    if (code) end(code);
    else setTimeout(look, 200);
  };
  look();
}
