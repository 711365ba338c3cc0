// Wiring: what a change of each control means.
const bar = document.getElementById("bar");
const scopeSelect = document.getElementById("scope");
const figureSelect = document.getElementById("figure");
const slider = document.getElementById("slider");
const themeButton = document.getElementById("theme");

function fillScopes() {
  scopeSelect.replaceChildren(
    ...DATA.scopes.map((one, number) => make("option", { value: number }, `${one.class}, ${one.campaign}`)),
  );
}

function fillFigures() {
  const groups = { thrust: "at equal thrust", speed: "at equal speed", null: "of whole runs" };
  const entries = Object.entries(scope().figures);
  figureSelect.replaceChildren(
    ...Object.entries(groups).flatMap(([quantity, label]) => {
      const own = entries.filter(([, one]) => String(one.quantity) === quantity);
      return own.length ? [make("optgroup", { label }, ...own.map(([name, one]) => make("option", { value: name }, one.title)))] : [];
    }),
  );
  figureSelect.value = state.figure;
}

function setSlider() {
  const { quantity } = figure();
  const holder = document.getElementById("at");
  holder.toggleAttribute("data-idle", !quantity);
  if (!quantity) return;
  const { values, words } = grid(quantity);
  slider.max = values.length - 1;
  document.getElementById("marks").replaceChildren(...grid(quantity).points.map((at) => make("option", { value: at })));
  slider.value = state.at[quantity];
  const text = words[state.at[quantity]].replace(/^at /, "");
  slider.setAttribute("aria-valuetext", text);
  document.getElementById("at-words").textContent = `At equal ${quantity}`;
  document.getElementById("at-value").textContent = text;
}

// Of what stands in the page for every class and campaign, show the part that is looked at.
function showParts() {
  const own = `${scope().class}, ${scope().campaign}`;
  for (const element of document.querySelectorAll("[data-of]")) element.hidden = element.dataset.of !== own;
  for (const element of document.querySelectorAll("details.campaign")) element.open = element.dataset.campaign === scope().campaign;
}

whenChanged((what) => {
  if (what === "scope") {
    fillFigures();
    showParts();
    drawMissing();
  }
  setSlider();
  drawRanking();
  if (what !== "point") drawChooser();
  drawCharts(what);
  if (what === "theme") redrawRecordings();
});

scopeSelect.addEventListener("change", () => {
  enterScope(Number(scopeSelect.value));
  allRows = false;
  changed("scope");
});
figureSelect.addEventListener("change", () => {
  state.figure = figureSelect.value;
  changed("point");
});
slider.addEventListener("input", () => {
  state.at[figure().quantity] = Number(slider.value);
  changed("point");
});
document.getElementById("add").addEventListener("change", (event) => {
  if (event.target.value !== "") toggleDesign(Number(event.target.value));
  event.target.value = "";
});
document.getElementById("save").addEventListener("click", () => {
  const link = make("a", { href: URL.createObjectURL(new Blob([rankingCsv()], { type: "text/csv" })), download: "ranking.csv" });
  link.click();
  URL.revokeObjectURL(link.href);
});

// What sticks below the bar stands as far down as the bar is high.
new ResizeObserver(() => {
  document.documentElement.style.setProperty("--bar", `${bar.offsetHeight}px`);
}).observe(bar);

function labelTheme() {
  themeButton.textContent = dark() ? "Light" : "Dark";
  themeButton.title = dark() ? "Dark ink on light paper" : "Light ink on dark paper";
}
themeButton.addEventListener("click", () => {
  document.documentElement.dataset.theme = dark() ? "light" : "dark";
  labelTheme();
  changed("theme");
});
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
  labelTheme();
  changed("theme");
});

for (const kind of ["pointerover", "focusin"]) document.getElementById("ranking").addEventListener(kind, shadeTies);

function begin() {
  document.documentElement.classList.add("scripted");
  themeButton.hidden = false;
  labelTheme();
  watchRecordings();
  if (!DATA.scopes.length) return;
  for (const element of [bar, document.getElementById("curves"), document.getElementById("ranking-tools")]) element.hidden = false;
  fillScopes();
  enterScope(largestScope());
  scopeSelect.value = state.scope;
  buildCharts();
  changed("scope");
}

begin();
document.documentElement.dataset.ready = Math.round(performance.now()); // milliseconds since the opening
