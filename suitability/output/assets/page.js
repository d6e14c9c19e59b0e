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
  function draw(item) {
    const place = document.getElementById(item.id);
    drawing.draw(place, fitted(item, drawing.width(place)));
  }
  const items = JSON.parse(document.getElementById("figures").textContent);
  items.forEach(draw);
  drawing.onChange(() => items.forEach(draw));
})();
