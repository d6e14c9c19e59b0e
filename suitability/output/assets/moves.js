(function () {
  const page = JSON.parse(document.getElementById("figures").textContent);
  const filled = evidenceOf(page);
  function fitted(figure, width) {
    if (width >= drawing.narrow) { return figure; }
    figure.layout.font.size = 10;
    figure.layout.xaxis.title.font.size = 10;
    figure.layout.xaxis.ticktext = figure.layout.xaxis.ticktext.map((month) => month.slice(0, 1));
    for (const note of figure.layout.annotations || []) { note.font.size = 10; }
    for (const trace of figure.data) {
      if (trace.type === "scatter") { trace.marker.size = 5; }
    }
    return figure;
  }
  function draw(group) {
    const place = document.getElementById(group.id + "-chart");
    if (!place || place.closest("[hidden]")) { return; }
    drawing.draw(place, fitted(filled(group), drawing.width(place)));
  }
  const chooser = document.getElementById("chosen");
  function choose() {
    for (const section of document.querySelectorAll(".evidence")) {
      section.hidden = Boolean(chooser) && section.id !== chooser.value;
    }
    page.groups.forEach(draw);
  }
  if (chooser) {
    chooser.parentElement.hidden = false;
    chooser.addEventListener("change", choose);
  }
  choose();
  drawing.onChange(() => page.groups.forEach(draw));
})();
