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
  const groups = new Map(page.groups.map((group) => [group.id + "-chart", group]));
  function draw() {
    const places = [...groups.keys()].map((id) => document.getElementById(id))
      .filter((place) => place && !place.closest("[hidden]"));
    drawing.drawAll(places, (place, width) => fitted(filled(groups.get(place.id)), width));
  }
  const chooser = document.getElementById("chosen");
  function choose() {
    for (const section of document.querySelectorAll(".evidence")) {
      section.hidden = Boolean(chooser) && section.id !== chooser.value;
    }
    draw();
  }
  if (chooser) {
    chooser.parentElement.hidden = false;
    chooser.addEventListener("change", choose);
  }
  choose();
  drawing.onChange(draw);
})();
