// Says before anything is sent that the photos are more than can be sent at once, or that the only one is too heavy.
const form = document.querySelector("[data-photos]");
form?.addEventListener("submit", (event) => {
  const sizes = [...form.querySelectorAll("input[type=file]")].flatMap(({ files }) => [...files]).map(({ size }) => size);
  const together = sizes.reduce((sum, size) => sum + size, 0) / 1e6;
  const [most, each] = [Number(form.dataset.mostMb), Number(form.dataset.eachMb)];
  const alone = sizes.length === 1;
  if (together <= (alone ? each : most)) return;
  event.preventDefault();
  form.querySelector("p.errorlist").textContent = alone
    ? `This photo has ${Math.ceil(together)} MB; at most ${each} MB are read. Send a smaller one: a phone's usual photo is enough.`
    : `These photos have ${Math.ceil(together)} MB together; at most ${most} MB can be sent. Choose fewer.`;
});
