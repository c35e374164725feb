// Says before anything is sent that the photos are more than can be sent at once, or that the only one is too heavy.
import { say } from "./hand/say.js";

const form = document.querySelector("[data-photos]");
form?.addEventListener("submit", (event) => {
  const sizes = [...form.querySelectorAll("input[type=file]")].flatMap(({ files }) => [...files]).map(({ size }) => size);
  const together = sizes.reduce((sum, size) => sum + size, 0) / 1e6;
  const [most, each] = [Number(form.dataset.mostMb), Number(form.dataset.eachMb)];
  const alone = sizes.length === 1;
  if (together <= (alone ? each : most)) return;
  event.preventDefault();
  const size = Math.ceil(together);
  form.querySelector("p.errorlist").textContent = alone
    ? say("This photo has {size} MB; at most {most} MB are read. Send a smaller one: a phone's usual photo is enough.", { size, most: each })
    : say("These photos have {size} MB together; at most {most} MB can be sent. Choose fewer.", { size, most });
});
