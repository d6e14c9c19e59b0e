(function () {
  function fitted(item, width) {
    const figure = JSON.parse(JSON.stringify(item.figure));
    if (width >= drawing.narrow) { return figure; }
    figure.layout.font.size = 10;
    for (const note of figure.layout.annotations || []) {
      if (note.yref === "paper") { note.text = note.text.slice(0, 1); }
    }
    for (const trace of figure.data) {
      if (trace.textfont) { trace.textfont.size = 9; }
      if (trace.meta === "short") { trace.text = trace.customdata; }
    }
    drawing.rowsOnPhone(figure, width);
    return figure;
  }
  const items = new Map(
    JSON.parse(document.getElementById("figures").textContent).map((item) => [item.id, item])
  );
  function draw() {
    const places = [...items.keys()].map((id) => document.getElementById(id));
    drawing.drawAll(places, (place, width) => fitted(items.get(place.id), width));
  }
  draw();
  drawing.onChange(draw);
})();
