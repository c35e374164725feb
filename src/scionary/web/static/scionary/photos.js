// Says before anything is sent that the photos are more than can be sent at once.
const form = document.querySelector("[data-photos]");
form?.addEventListener("submit", (event) => {
  const sizes = [...form.querySelectorAll("input[type=file]")].flatMap(({ files }) => [...files]).map(({ size }) => size);
  const [together, most] = [sizes.reduce((sum, size) => sum + size, 0) / 1e6, Number(form.dataset.mostMb)];
  if (together <= most) return;
  event.preventDefault();
  form.querySelector("p.errorlist").textContent = `These photos have ${Math.ceil(together)} MB together; at most ${most} MB can be sent. Choose fewer.`;
});
