// Pictures of recordings, drawn when their run is opened.
const pictures = new Map(); // details element -> view

function watchRecordings() {
  for (const element of document.querySelectorAll("details.run[data-picture]")) {
    element.addEventListener("toggle", () => element.open && drawRecording(element));
  }
}

function drawRecording(element) {
  if (pictures.has(element)) return;
  const holder = element.querySelector(".picture");
  const picture = DATA.findings.runs[Number(element.dataset.picture)].picture;
  if (!holder || !picture.traces) return;
  const trace = picture.traces.flatMap((one) => one.x.map((x, index) => ({ panel: one.panel, x, value: one.value[index] })));
  const sets = { panels: picture.panels, ticks: picture.ticks, spans: picture.spans, lanes: picture.lanes, trace };
  const view = openView(holder, "recording", sets, picture.height);
  pictures.set(element, view);
}

function redrawRecordings() {
  for (const [element, view] of pictures) {
    view.then((opened) => opened.finalize());
    pictures.delete(element);
    if (element.open) drawRecording(element);
  }
}
