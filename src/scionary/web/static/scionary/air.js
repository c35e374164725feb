// Beside a dome's curve: what was read where the pointer or the finger is. Without it, the table says the same.
function tell(event) {
  const strip = event.target.closest?.("svg.chart .readout");
  const said = strip?.closest("figure")?.querySelector("output");
  if (!said) return;
  for (const other of strip.parentNode.querySelectorAll(".readout.at")) other.classList.remove("at");
  strip.classList.add("at");
  said.textContent = strip.querySelector("title").textContent;
}

document.addEventListener("pointerover", tell);
document.addEventListener("pointerdown", tell);
